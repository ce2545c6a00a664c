"""decide(state, intent, at) → events: all the rules of a job. It never acts, and never asks what time it is.

Whatever is said in whatever state ends in a legal state: what is not allowed becomes a `Refused` fact
whose words say why and what to do instead.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from assistant.core.data.catalogue import NO_SUMS, Sums
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.errors import ReadingError
from assistant.core.job import events as e
from assistant.core.job import moving
from assistant.core.job.answering import disproved, elsewhere, option
from assistant.core.job.aside import deciding as beside
from assistant.core.job.conditions import driving, may_be_under
from assistant.core.job.confirming import confirm
from assistant.core.job.given import tool_measured, unknown_value, value_given, wrong_told
from assistant.core.job.going import back, go_on, listen_again, next_step, park, pause, skip, undo
from assistant.core.job.moving import Draft
from assistant.core.job.of_the_car import condition, danger, led_back
from assistant.core.job.question import OF_STEP, Question, Waiting, denies_the_bad, question
from assistant.core.job.state import State, opening
from assistant.core.job.stopping import waits_for_end
from assistant.core.job.tightening import new
from assistant.core.job.vehicle_file import NEW_VALUES
from assistant.core.quantities.owner_units import IN_UNITS
from assistant.core.types import Intent, Understanding, Verdict

TOPICS = (*IN_UNITS, "repeat", "where", "open", "torque", "amount", "why", "source", "time", "help", "hush", "here",
          "attend")  # fmt: skip
"""Intents that only ask: they change nothing, and are answered in every state but where listening is paused."""

TOO_NOISY = "It is too noisy to be sure. Come closer, or stop the noise. Say it again."

ALWAYS = ("alarm", "out", "danger")
"""What is acted on in every state: for the person's life, not for the job."""
WHILE_PAUSED = ("listen", "here", "park", "go-on", "denied", *ALWAYS)
"""What is acted on while listening is paused. Nobody can say "park" and "go-on" then: they are how the program begins
with an unfinished job, and a program that was started anew listens."""


def open_job(
    procedure: Procedure, vehicle: Vehicle, at: datetime, told: dict[str, Spec] | None = None
) -> tuple[e.Event, ...]:
    """Return the facts that begin a job at its first step that applies."""
    first = e.JobOpened(procedure, vehicle, told or {})
    draft = Draft(opening(first, at), at)
    draft.add(e.StepEntered(moving.first_step(draft.state)))
    _begin(draft)
    return (first, *draft.events)


def understood(state: State, understanding: Understanding, at: datetime, sums: Sums = NO_SUMS) -> tuple[e.Event, ...]:
    """Return the facts that follow from what was heard, clear or not."""
    heard = understanding.heard[0].text if understanding.heard else ""
    if understanding.verdict is Verdict.ACCEPTED and understanding.intent:
        if understanding.noisy and _consequential(understanding.intent):
            return (e.Refused("noise", TOO_NOISY),)
        return decide(state, understanding.intent, at, sums)
    if driving(state):
        return (e.LeftAlone(heard),)
    if understanding.verdict is Verdict.UNCLEAR and not state.paused:
        if understanding.noisy:
            return (e.Refused("noise", TOO_NOISY),)
        first, second = understanding.intent, understanding.runner_up
        return (e.NotUnderstood(heard, first.words if first else "", second.words if second else ""),)
    if understanding.expected and not state.paused:
        return (e.NotUnderstood(heard, "", ""),)
    return (e.LeftAlone(heard),)


HARMLESS = frozenset({*TOPICS, *ALWAYS, "denied", "back", "undo", "pause", "listen", "park", "skip", "wrong",
                       "work-out", "leave"})  # fmt: skip
"""What may be believed in noise: it closes nothing, opens no gate, and changes nothing of the car."""


def _consequential(intent: Intent) -> bool:
    """Return whether it would be dangerous to have heard this wrong."""
    return intent.name not in HARMLESS


def decide(state: State, intent: Intent, at: datetime, sums: Sums = NO_SUMS) -> tuple[e.Event, ...]:
    """Return the facts that follow from what the person means, with what may be worked out beside; never empty."""
    if state.paused and intent.name not in WHILE_PAUSED:
        return (e.Refused("paused", "I am not listening. Say: listen again."),)
    if intent.name in TOPICS:
        return (e.Asked(intent.name),)
    asked = question(state)
    if refused := _out_of_place(state, intent, asked):
        return (refused,)
    draft = Draft(state, at, sums)
    try:
        if not waits_for_end(draft, intent, asked):
            _HANDLERS[intent.name](draft, intent, asked)
    except ReadingError as error:
        if (
            draft.state.pending and not draft.state.aside
        ):  # a new value replaces the one that waits, also where it can't be right
            draft.add(e.ClaimDropped(draft.state.pending.what))
        draft.add(e.Refused(error.code, error.say))
    _begin(draft)
    return tuple(draft.events)


def _out_of_place(state: State, intent: Intent, asked: Question) -> e.Refused | None:
    """Return why something is not taken whatever is asked: the job is over, put aside, or something is asked beside."""
    if asked.waiting is Waiting.FINISHED and intent.name not in ALWAYS:
        over = "stopped" if state.stopped else "finished"
        return e.Refused("finished", f"This job is {over}.")
    if asked.waiting is Waiting.PARKED and intent.name not in ("go-on", "denied", *ALWAYS):
        return e.Refused("parked", "The job is parked. Say: carry on with the job.")
    if state.aside and intent.name not in beside.DURING:
        return e.Refused("aside", beside.FIRST)
    return None


def _begin(draft: Draft) -> None:
    """Begin the present step, where nothing is left to be asked before it."""
    led_back(draft)
    if not draft.state.begun and question(draft.state).waiting in OF_STEP:
        moving.begin(draft)


def _work_out(draft: Draft, intent: Intent, asked: Question) -> None:
    beside.ask_for(draft, draft.sums, intent.option)


def _told(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take a line that was typed to what is asked beside the job."""
    if draft.state.aside:
        beside.tell(draft, draft.sums, intent)
    else:
        draft.add(e.Refused("aside", "I asked nothing beside the job. Say: repeat that."))


def _leave(draft: Draft, intent: Intent, asked: Question) -> None:
    beside.leave(draft)


def _claim(draft: Draft, intent: Intent, asked: Question) -> None:
    if asked.waiting is Waiting.CLAIM:
        draft.add(e.ClaimHeard(asked.about))
    else:
        next_step(draft, intent, asked)


def _denied(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take what was denied as said, and never as its contrary. Who is not all right needs help."""
    if intent.option == "here" or (draft.state.check_in and not intent.option):
        _alarm(draft, intent, asked)
        return
    draft.add(e.Denied(intent.option or "", intent.words))
    if asked.about == NEW_VALUES and not draft.state.pending and intent.option in (None, "", "confirm"):
        draft.add(e.VehicleDeclined())
    if asked.waiting is Waiting.EVIDENCE and not denies_the_bad(asked, intent.option or ""):
        disproved(draft, asked)
        elsewhere(draft, asked)
    if draft.state.pending and asked.waiting is Waiting.CONFIRM:
        draft.add(e.ClaimDropped(draft.state.pending.what))


def _alarm(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.HelpCalled())


def _out(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.CameOut() if may_be_under(draft.state) else e.Asked("here"))


_HANDLERS: dict[str, Callable[[Draft, Intent, Question], None]] = {
    "next": next_step,
    "done": next_step,
    "work-out": _work_out,
    "told": _told,
    "leave": _leave,
    "skip": skip,
    "back": back,
    "undo": undo,
    "wrong": wrong_told,
    "value": value_given,
    "unknown": unknown_value,
    "adapter": tool_measured,
    "wrench": tool_measured,
    "option": option,
    "claim": _claim,
    "new": new,
    "confirm": confirm,
    "denied": _denied,
    "condition": condition,
    "alarm": _alarm,
    "out": _out,
    "danger": danger,
    "pause": pause,
    "listen": listen_again,
    "park": park,
    "go-on": go_on,
}

INTENTS = (*TOPICS, *_HANDLERS)
"""The names of everything that a person can mean."""
