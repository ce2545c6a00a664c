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
from assistant.core.errors import ReadingError, TooLittle
from assistant.core.job import events as e
from assistant.core.job import known as facts
from assistant.core.job import moving, undoing
from assistant.core.job.answering import disproved, elsewhere, evidence, option, running
from assistant.core.job.aside import deciding as beside
from assistant.core.job.bands import news_of_bands
from assistant.core.job.conditions import blocked, driving, may_be_under
from assistant.core.job.confirming import confirm
from assistant.core.job.filling import draws_off
from assistant.core.job.limits import wrong_value
from assistant.core.job.moving import Draft
from assistant.core.job.of_the_car import condition, danger, led_back
from assistant.core.job.question import DRAWN_OFF, OF_STEP, Question, Waiting, denies_the_bad, question
from assistant.core.job.readings import check_evidence, check_reading, check_tool, check_torque
from assistant.core.job.state import State, opening
from assistant.core.job.stopping import stop, waits_for_end
from assistant.core.job.tightening import new, turned
from assistant.core.job.vehicle_file import NEW_VALUES
from assistant.core.job.vehicle_values import check_told
from assistant.core.job.wording import say_answer
from assistant.core.quantities.owner_units import IN_UNITS
from assistant.core.quantities.saying import say_duration
from assistant.core.quantities.units import Value
from assistant.core.types import Intent, Understanding, Verdict

TOOLS = ("adapter", "wrench")
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


def _next(draft: Draft, intent: Intent, asked: Question) -> None:
    match asked.waiting:
        case Waiting.NEXT:
            moving.complete(draft)
        case Waiting.TIME:
            _end_wait(draft)
        case Waiting.EVIDENCE:
            draft.add(e.Refused("gate", "Not yet: first I need your answer."))
        case Waiting.BLOCKED:
            draft.add(e.Refused("blocked", blocked(draft.state, draft.state.here)))
        case Waiting.NEW:
            draft.add(e.Refused("answer", "Not yet: first I need to know that it is new."))
        case Waiting.CONFIRM:
            draft.add(e.Refused("confirm", "That has to be confirmed by its name."))
        case Waiting.CONDITION:
            draft.add(e.Refused("condition", "Not yet."))
        case _:
            draft.add(e.Refused("answer", "First I need your answer."))


def _end_wait(draft: Draft) -> None:
    step, timer = draft.state.here, running(draft.state)
    if timer and step.wait and step.wait.hard:
        left = say_duration((timer.due - draft.at).total_seconds())
        draft.add(e.Refused("wait", f"Too early. Time left: {left}."))
        return
    if timer:
        draft.add(e.TimerEnded(step.id, early=True))
    moving.complete(draft)


def _skip(draft: Draft, intent: Intent, asked: Question) -> None:
    step = draft.state.here
    if asked.waiting in (Waiting.EVIDENCE, Waiting.CONDITION) or (asked.waiting is Waiting.CONFIRM and asked.gate):
        draft.add(e.Refused("gate", "No. That check keeps you safe, so it can't be left out."))
    elif step.optional and asked.waiting in OF_STEP:
        draft.add(e.StepSkipped(step.id))
        moving.go_on(draft, step)
    else:
        draft.add(e.Refused("skip", "This step can't be left out. Do it, then say: next step."))


def _back(draft: Draft, intent: Intent, asked: Question) -> None:
    beside.take_back(draft) if draft.state.aside else undoing.back(draft)


def _undo(draft: Draft, intent: Intent, asked: Question) -> None:
    beside.take_back(draft) if draft.state.aside else undoing.undo(draft)


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


def _wrong(draft: Draft, intent: Intent, asked: Question) -> None:
    """Put right a value of the vehicle that the owner told wrong."""
    state, name = draft.state, intent.option or ""
    wanted = state.procedure.values.get(name)
    if wanted is None:
        draft.add(e.Refused("undo", "I know no such value. Say: that was wrong."))
    elif name in state.told or name in state.unknown:
        undoing.withdraw_value(draft, state.vehicle.id, name)
    elif spec := state.vehicle.values.get(name):
        draft.add(e.Refused("file", _in_the_file(wanted.name, spec)))
    else:
        draft.add(e.Refused("unknown", f"Nobody has told me the {wanted.name} yet."))


def _in_the_file(name: str, spec: Spec) -> str:
    return f"The {name} is {spec.source}. Put it right in the vehicle's file, and take up this job again."


def _value(draft: Draft, intent: Intent, asked: Question) -> None:
    state, value = draft.state, intent.value
    if state.aside:
        beside.tell(draft, draft.sums, intent)
        return
    if value is None:
        raise wrong_value(None)
    waiting = Waiting(asked.waiting) if not state.pending else _behind_pending(state)
    if waiting is Waiting.VALUE:
        name = (state.pending and state.pending.name) or state.doubted or facts.missing(state, state.here) or ""
        wanted = state.procedure.values[name]
        draft.add(e.ClaimHeard(wanted.name, check_told(state, name, value), name))
    elif waiting is Waiting.TIGHTEN:
        part, given = check_torque(state, value)
        draft.add(e.ClaimHeard(part.name, given))
    elif waiting is Waiting.TURN:
        turned(draft, value)
    elif waiting is Waiting.READING and state.here.reading:
        _reading(draft, intent)
    elif waiting is Waiting.EVIDENCE and asked.ask and asked.ask.kind:
        _number(draft, asked, value)
    else:
        draft.add(e.Refused("no-reading", "I need no number now. Say: repeat that."))


def _unknown(draft: Draft, intent: Intent, asked: Question) -> None:
    """Tell who does not know a value where to look; where the job can do without, it goes on."""
    state = draft.state
    if asked.waiting is Waiting.VALUE:
        wanted = state.procedure.values[asked.about]
        draft.add(
            e.ValueUnknown(asked.about) if wanted.unknown else e.Refused("unknown", f"{wanted.find} Then tell me.")
        )
    elif asked.waiting in OF_STEP or asked.waiting is Waiting.EVIDENCE:
        draft.add(e.Refused("answer", "Then look, and take your time."))
    else:
        draft.add(e.Refused("unknown", "I asked for no number. Say: repeat that."))


def _number(draft: Draft, asked: Question, value: Value) -> None:
    """Take the number that answers a challenge; what is too little disproves what rests on it."""
    assert asked.ask
    try:
        given = check_evidence(draft.state, asked.ask, value)
    except TooLittle as error:
        draft.add(e.Refused(error.code, error.say))
        disproved(draft, asked)
        return
    evidence(draft, asked, say_answer(asked.ask, given))


def _reading(draft: Draft, intent: Intent) -> None:
    """Take a reading; what pours in ends its step only where enough is in, and not too much."""
    state, reading = draft.state, draft.state.here.reading
    assert reading and intent.value is not None
    if draws_off(state, state.here):
        reading = reading.model_copy(update={"name": DRAWN_OFF, "adds": False, "removes": True})
    taken = check_reading(state, reading, intent.value)
    draft.add(e.ReadingTaken(state.step, reading.name, taken, reading.adds, reading.removes, reading.of or ""))
    if band := next(news_of_bands(state, draft.state, reading.name, stops=True), None):
        stop(draft, band.stop or "", band.say, reading=reading.name)
    elif question(draft.state).waiting is not Waiting.READING or not reading.fills:
        moving.complete(draft)


def _behind_pending(state: State) -> Waiting:
    if state.pending and state.pending.name:
        return Waiting.VALUE
    if not state.here.tighten:
        return Waiting.CLAIM
    return Waiting.TURN if state.turning else Waiting.TIGHTEN


def _tool(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take the length of the wrench or of its adapter, where it can be one."""
    draft.add(e.ToolMeasured(intent.name, check_tool(intent.name, intent.value)))


def _claim(draft: Draft, intent: Intent, asked: Question) -> None:
    if asked.waiting is Waiting.CLAIM:
        draft.add(e.ClaimHeard(asked.about))
    else:
        _next(draft, intent, asked)


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


def _pause(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.ListeningPaused())


def _listen(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.ListeningResumed() if draft.state.paused else e.Refused("listening", "I am listening."))


def _park(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.Parked())


def _go_on(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.Resumed())
    moving.let_gates_fall(draft, "interrupted")
    for known in draft.state.procedure.conditions:
        if known.gated:  # nobody knows what was done meanwhile
            moving.change(draft, known.id, holds=None)
    led_back(draft)
    moving.take_up_time(draft)


_HANDLERS: dict[str, Callable[[Draft, Intent, Question], None]] = {
    "next": _next,
    "done": _next,
    "work-out": _work_out,
    "told": _told,
    "leave": _leave,
    "skip": _skip,
    "back": _back,
    "undo": _undo,
    "wrong": _wrong,
    "value": _value,
    "unknown": _unknown,
    "adapter": _tool,
    "wrench": _tool,
    "option": option,
    "claim": _claim,
    "new": new,
    "confirm": confirm,
    "denied": _denied,
    "condition": condition,
    "alarm": _alarm,
    "out": _out,
    "danger": danger,
    "pause": _pause,
    "listen": _listen,
    "park": _park,
    "go-on": _go_on,
}

INTENTS = (*TOPICS, *_HANDLERS)
"""The names of everything that a person can mean."""
