"""decide(state, intent, at) → events: all the rules of a job. It never acts, and never asks what time it is.

Whatever is said in whatever state ends in a legal state: what is not allowed becomes a `Refused` fact
whose words say why and what to do instead.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from assistant.core import events as e
from assistant.core import facts, moving
from assistant.core.errors import ReadingError
from assistant.core.moving import Draft
from assistant.core.procedure import Option, Procedure, Spec, Vehicle
from assistant.core.question import Question, Waiting, next_ask, question
from assistant.core.readings import check_evidence, check_reading, check_tool, check_torque, check_wanted, wrong_value
from assistant.core.saying import say_duration
from assistant.core.state import State, opening
from assistant.core.topics import IN_UNITS
from assistant.core.types import Intent, Understanding, Verdict
from assistant.core.wording import say_value

TOOLS = ("adapter", "wrench")
TOPICS = (*IN_UNITS, "repeat", "where", "open", "torque", "amount", "why", "source", "time", "help", "hush", "here",
          "attend")  # fmt: skip
"""Intents that only ask: they change nothing, and are answered in every state but where listening is paused."""

TOO_NOISY = "It is too noisy to be sure. Come closer, or stop the noise. Say it again."

WHILE_PAUSED = ("listen", "here", "park", "go-on")
"""What is acted on while listening is paused. Nobody can say the last two then: they are how the program begins with
an unfinished job, and a program that was started anew listens."""


def open_job(procedure: Procedure, vehicle: Vehicle, at: datetime) -> tuple[e.Event, ...]:
    """Return the facts that begin a job at its first step that applies."""
    first = e.JobOpened(procedure, vehicle)
    draft = Draft(opening(first, at), at)
    moving.enter(draft, moving.first_step(draft.state))
    return (first, *draft.events)


def understood(state: State, understanding: Understanding, at: datetime) -> tuple[e.Event, ...]:
    """Return the facts that follow from what was heard, clear or not."""
    heard = understanding.heard[0].text if understanding.heard else ""
    if understanding.verdict is Verdict.ACCEPTED and understanding.intent:
        if understanding.noisy and _consequential(state, understanding.intent):
            return (e.Refused("noise", TOO_NOISY),)
        return decide(state, understanding.intent, at)
    if understanding.verdict is Verdict.UNCLEAR and not state.paused:
        if understanding.noisy:
            return (e.Refused("noise", TOO_NOISY),)
        first, second = understanding.intent, understanding.runner_up
        return (e.NotUnderstood(heard, first.words if first else "", second.words if second else ""),)
    return (e.LeftAlone(heard),)


def _consequential(state: State, intent: Intent) -> bool:
    """Return whether it would be dangerous to have heard this wrong: what closes something, or opens a gate."""
    answered = intent.name in ("value", "option") and question(state).waiting in (Waiting.EVIDENCE, Waiting.TIGHTEN)
    return answered or intent.name in ("claim", "confirm", *TOOLS)


def decide(state: State, intent: Intent, at: datetime) -> tuple[e.Event, ...]:
    """Return the facts that follow from what the person means; never empty."""
    if state.paused and intent.name not in WHILE_PAUSED:
        return (e.Refused("paused", "I am not listening. Say: listen again."),)
    if intent.name in TOPICS:
        return (e.Asked(intent.name),)
    asked = question(state)
    if asked.waiting is Waiting.FINISHED:
        return (e.Refused("finished", "This job is finished."),)
    if asked.waiting is Waiting.PARKED and intent.name != "go-on":
        return (e.Refused("parked", "The job is parked. Say: carry on with the job."),)
    draft = Draft(state, at)
    try:
        _HANDLERS[intent.name](draft, intent, asked)
    except ReadingError as error:
        return (e.Refused(error.code, error.say),)
    return tuple(draft.events)


def moment(state: State, at: datetime, check_in_after: timedelta | None) -> tuple[e.Event, ...]:
    """Return the facts that the passing of time brings: times that ended, and care for someone alone.

    Nothing heard from under the car for `check_in_after` brings a question, then a louder one, then the alarm.
    """
    if state.finished_at or state.parked:
        return ()
    draft = Draft(state, at)
    for timer in state.timers:
        if timer.due <= at:
            draft.add(e.TimerEnded(timer.name))
    due = state.heard_at and check_in_after and state.heard_at + check_in_after * (state.check_in + 1)
    if due and at >= due and state.here.where == "under" and state.check_in < 3:
        draft.add(e.CheckedIn(state.check_in + 1))
    return tuple(draft.events)


def _next(draft: Draft, intent: Intent, asked: Question) -> None:
    match asked.waiting:
        case Waiting.NEXT:
            moving.complete(draft)
        case Waiting.TIME:
            _end_wait(draft)
        case Waiting.EVIDENCE:
            draft.add(e.Refused("gate", "Not yet: first I need your answer."))
        case Waiting.SEALED:
            draft.add(e.Refused("sealed", facts.unsealed(draft.state)))
        case Waiting.CONFIRM:
            draft.add(e.Refused("confirm", f"Say: confirm {asked.about}. Or say: that was wrong."))
        case _:
            draft.add(e.Refused("answer", "First I need your answer."))


def _end_wait(draft: Draft) -> None:
    step = draft.state.here
    timer = next((timer for timer in draft.state.timers if timer.name == step.id), None)
    if timer and step.wait and step.wait.hard:
        left = say_duration((timer.due - draft.at).total_seconds())
        draft.add(e.Refused("wait", f"Too early. Time left: {left}."))
        return
    if timer:
        draft.add(e.TimerEnded(step.id, early=True))
    moving.complete(draft)


def _skip(draft: Draft, intent: Intent, asked: Question) -> None:
    step = draft.state.here
    if asked.waiting is Waiting.EVIDENCE:
        draft.add(e.Refused("gate", "No. That check keeps you safe, so it can't be left out."))
    elif step.optional and asked.waiting is not Waiting.SEALED:
        draft.add(e.StepSkipped(step.id))
        moving.go_on(draft, step)
    else:
        draft.add(e.Refused("skip", "This step can't be left out. Do it, then say: next step."))


def _back(draft: Draft, intent: Intent, asked: Question) -> None:
    if draft.state.pending:
        draft.add(e.ClaimDropped(draft.state.pending.what))
    elif len(draft.state.path) < 2:
        draft.add(e.Refused("first", "This is the first step."))
    else:
        moving.reopen(draft, draft.state.path[-2])


def _undo(draft: Draft, intent: Intent, asked: Question) -> None:
    state = draft.state
    match state.correctable:
        case _ if state.pending:
            draft.add(e.ClaimDropped(state.pending.what))
        case e.EvidenceGiven(gate, ask):
            draft.add(e.EvidenceWithdrawn(gate, ask))
            if gate in state.gates:
                draft.add(e.GateFell(gate, "withdrawn"))
        case e.ReadingTaken(step, name) if step == state.step:
            draft.add(e.ReadingWithdrawn(step, name))
        case e.ReadingTaken(step) if step in state.path:
            moving.reopen(draft, step)
        case _:
            draft.add(e.Refused("undo", "There is no reading to put right. Say: go back one step."))


def _value(draft: Draft, intent: Intent, asked: Question) -> None:
    state, value = draft.state, intent.value
    if value is None:
        raise wrong_value(None)
    waiting = Waiting(asked.waiting) if not state.pending else _behind_pending(state)
    if waiting is Waiting.VALUE:
        name = facts.missing(state, state.here) or ""
        wanted = state.procedure.values[name]
        draft.add(e.ClaimHeard(wanted.name, check_wanted(value, wanted)))
    elif waiting is Waiting.TIGHTEN:
        part, given = check_torque(state, value)
        draft.add(e.ClaimHeard(part.name, given))
    elif waiting is Waiting.READING and state.here.reading:
        reading = state.here.reading
        taken = check_reading(state, reading, value)
        draft.add(e.ReadingTaken(state.step, reading.name, taken, reading.adds))
        moving.complete(draft)
    elif waiting is Waiting.EVIDENCE and asked.ask and asked.ask.kind:
        check_evidence(state, asked.ask, value)
        _evidence(draft, asked, say_value(value))
    else:
        draft.add(e.Refused("no-reading", "I need no number now. Say: repeat that."))


def _behind_pending(state: State) -> Waiting:
    if facts.missing(state, state.here):
        return Waiting.VALUE
    return Waiting.TIGHTEN if state.here.tighten else Waiting.CLAIM


def _option(draft: Draft, intent: Intent, asked: Question) -> None:
    options = asked.ask.options if asked.ask else draft.state.here.choice.options if draft.state.here.choice else ()
    option: Option | None = next((option for option in options if option.id == intent.option), None)
    if option is None:
        draft.add(e.Refused("answer", "That answers nothing that I asked. Say: repeat that."))
    elif asked.waiting is Waiting.EVIDENCE:
        if option.refuse:
            draft.add(e.Refused("evidence", option.refuse))
        else:
            _evidence(draft, asked, option.show)
    elif draft.state.here.choice:
        draft.add(e.ChoiceMade(draft.state.here.choice.name, option.id))
        moving.complete(draft)


def _evidence(draft: Draft, asked: Question, answer: str) -> None:
    assert asked.gate and asked.ask
    draft.add(e.EvidenceGiven(asked.gate.id, asked.ask.id, answer))
    if next_ask(draft.state, asked.gate) is None:
        draft.add(e.GatePassed(asked.gate.id))


def _tool(draft: Draft, intent: Intent, asked: Question) -> None:
    """Take the length of the wrench or of its adapter, where it can be one."""
    draft.add(e.ToolMeasured(intent.name, check_tool(intent.name, intent.value)))


def _claim(draft: Draft, intent: Intent, asked: Question) -> None:
    if asked.waiting is Waiting.CLAIM:
        draft.add(e.ClaimHeard(asked.about))
    else:
        _next(draft, intent, asked)


def _confirm(draft: Draft, intent: Intent, asked: Question) -> None:
    pending = draft.state.pending
    if pending is None:
        draft.add(e.Refused("confirm", "There is nothing to confirm. Say: repeat that."))
        return
    name = facts.missing(draft.state, draft.state.here)
    if name and pending.value:
        source = f"told by the owner, {draft.at:%Y-%m-%d}"
        draft.add(e.ValueTold(draft.state.vehicle.id, name, Spec(value=pending.value, source=source)))
        return
    if draft.state.here.tighten and pending.value:
        draft.add(e.TorqueGiven(draft.state.here.tighten.part, pending.value))
    moving.complete(draft)


def _pause(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.ListeningPaused())


def _listen(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.ListeningResumed() if draft.state.paused else e.Refused("listening", "I am listening."))


def _park(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.Parked())


def _go_on(draft: Draft, intent: Intent, asked: Question) -> None:
    draft.add(e.Resumed())
    moving.let_gates_fall(draft, "interrupted")


_HANDLERS: dict[str, Callable[[Draft, Intent, Question], None]] = {
    "next": _next,
    "done": _next,
    "skip": _skip,
    "back": _back,
    "undo": _undo,
    "value": _value,
    "adapter": _tool,
    "wrench": _tool,
    "option": _option,
    "claim": _claim,
    "confirm": _confirm,
    "pause": _pause,
    "listen": _listen,
    "park": _park,
    "go-on": _go_on,
}

INTENTS = (*TOPICS, *_HANDLERS)
"""The names of everything that a person can mean."""
