"""State and events to words, tone, and what is shown. Every reply is made here; nothing here decides anything.

Written for the ear: what was heard first, then one action; the number last; units in full.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from assistant.core import events as e
from assistant.core import facts
from assistant.core.compute import oil_level
from assistant.core.hearing.numbers import digit_by_digit, twins_of
from assistant.core.procedure import Step
from assistant.core.question import Question, Waiting, question
from assistant.core.state import State
from assistant.core.summary import finish
from assistant.core.topics import answer_topic, tools
from assistant.core.types import Reply, Tone
from assistant.core.units import Level
from assistant.core.wording import say_for_owner, say_value, spoken


def answer(before: State, events: Sequence[e.Event], after: State) -> Reply:
    """Return what to say and show after these events, which led from one state to the other."""
    parts = [text for event in events if (text := _acknowledge(before, event, after))]
    if not all(isinstance(event, e.Asked | e.LeftAlone | e.TimerEnded | e.CheckedIn) for event in events):
        parts += _go_on(before, events, after)
    say = " ".join(part for part in parts if part)
    return Reply(say, say, _tone(events, after))


_WITHOUT_STEP = (Waiting.EVIDENCE, Waiting.SEALED, Waiting.PARKED, Waiting.PAUSED, Waiting.FINISHED, Waiting.CONFIRM)
"""Questions that say all that matters without the step."""


def present(state: State) -> str:
    """Return what a person needs to hear now: the open question, with its step where that matters."""
    asked = question(state)
    prompt = ask(state, asked)
    if asked.waiting in _WITHOUT_STEP:
        return prompt
    return f"{instruction(state, state.here)} {prompt}".strip()


def instruction(state: State, step: Step) -> str:
    """Return what a step tells the person to do, its cautions first."""
    cautions = " ".join(f"Careful. {spoken(state, caution)}" for caution in step.cautions)
    return f"{cautions} {spoken(state, step.say)}".strip()


def ask(state: State, asked: Question) -> str:
    """Return the words of an open question; empty where "next step" is all that is waited for."""
    step = state.here
    match asked.waiting:
        case Waiting.EVIDENCE if asked.ask:
            return spoken(state, asked.ask.ask)
        case Waiting.SEALED:
            return facts.unsealed(state)
        case Waiting.CONFIRM:
            return f"Say: confirm {_name(asked.about)}."
        case Waiting.VALUE:
            wanted = state.procedure.values[asked.about]
            return f"I do not know the {wanted.name}. {wanted.find} Then tell me."
        case Waiting.PARKED:
            return "The job is parked. Say: carry on with the job."
        case Waiting.PAUSED:
            return "I am not listening. Say: listen again."
        case Waiting.FINISHED:
            return "The job is finished."
        case _:
            questions = (step.reading, step.choice, step.claim, step.tighten)
            return next((spoken(state, found.ask) for found in questions if found), "")


def _name(text: str) -> str:
    return text.removeprefix("the ")


_REACHES = (e.StepEntered, e.StepReopened, e.Resumed, e.JobOpened, e.ListeningResumed)
"""Facts after which a person needs to hear the step in full."""


def _go_on(before: State, events: Sequence[e.Event], after: State) -> list[str]:
    """Return what leads on: a step that was just reached in full, a question that is new in short."""
    asked = question(after)
    reached = any(isinstance(event, _REACHES) for event in events)
    gate_opened = any(isinstance(event, e.GatePassed) for event in events)
    told = any(isinstance(event, e.ValueTold) for event in events)
    if asked.waiting is Waiting.FINISHED or any(isinstance(event, e.Parked | e.ListeningPaused) for event in events):
        return []
    if asked.waiting is Waiting.CONFIRM:
        return [ask(after, asked)]
    if asked.waiting is Waiting.EVIDENCE and asked.gate:
        fresh = question(before).gate is not asked.gate or reached
        return [*([asked.gate.intro] if fresh else []), ask(after, asked)]
    if reached or gate_opened or told:
        return [present(after)]
    refused = next((event for event in events if isinstance(event, e.Refused)), None)
    repeats = refused is None or refused.code in ("answer", "gate", "reading")
    return [ask(after, asked)] if repeats and asked.waiting is not Waiting.SEALED else []


def _tone(events: Sequence[e.Event], after: State) -> Tone:
    if any(isinstance(event, e.CheckedIn) for event in events):
        return Tone.ALARM if after.check_in >= 3 else Tone.WARN
    if any(isinstance(event, e.Refused) for event in events):
        return Tone.WARN
    if any(isinstance(event, e.NotUnderstood | e.ClaimHeard) for event in events):
        return Tone.ASK
    if any(isinstance(event, e.StepDone | e.TimerEnded | e.JobFinished) for event in events):
        return Tone.DONE
    return Tone.PLAIN


def _acknowledge(before: State, event: e.Event, after: State) -> str:
    say = _SAID.get(type(event))
    return say(before, event, after) if say else ""


def _opened(before: State, event: e.JobOpened, after: State) -> str:
    return f"{event.procedure.title}. {event.vehicle.title.split(' (')[0]}. The service manual goes before what I say."


def _evidence(before: State, event: e.EvidenceGiven, after: State) -> str:
    return f"{event.answer[:1].upper()}{event.answer[1:]}."


def _passed(before: State, event: e.GatePassed, after: State) -> str:
    return after.procedure.gate(event.gate).granted


def _fell(before: State, event: e.GateFell, after: State) -> str:
    if event.cause not in ("withdrawn", "interrupted") or event.gate not in before.gates:
        return ""
    return f"So the checks for {after.procedure.gate(event.gate).name} have to be made again."


def _claim(before: State, event: e.ClaimHeard, after: State) -> str:
    name = _name(event.what)
    return f"I heard: {name}, {say_value(event.value)}." if event.value else f"You say that {event.what} is tight."


def _torque(before: State, event: e.TorqueGiven, after: State) -> str:
    return f"Noted: {_name(after.procedure.part(event.part).name)}, {say_value(event.value)}."


def _reading(before: State, event: e.ReadingTaken, after: State) -> str:
    heard = f"I heard {say_value(event.value)}."
    if isinstance(event.value, Level):
        return " ".join(part for part in (heard, _doubt(after, event.value), _level_word(event.value)) if part)
    total = facts.poured(after)
    several = sum(fact.adds for fact in after.readings) > 1
    return f"{heard} In all {say_for_owner(after, total)}." if event.adds and several else heard


def _level_word(level: Level) -> str:
    return {"low": "More oil is needed.", "ok": "That is a good level.", "over": "That is too much."}[
        oil_level.status(level)
    ]


def _doubt(state: State, level: Level) -> str:
    fluid = state.procedure.fluid
    if not fluid or not state.drained:
        return ""
    capacity, span = facts.value(state, fluid.capacity), facts.value(state, fluid.span)
    return oil_level.disagreement(level, facts.poured(state), capacity, span)


def _timer_ended(before: State, event: e.TimerEnded, after: State) -> str:
    step = after.procedure.step(event.name)
    if event.early or not step.wait:
        return ""
    return f"The time for {step.wait.about} is over. Say: {'listen again' if after.paused else 'next step'}."


def _told(before: State, event: e.ValueTold, after: State) -> str:
    return f"Noted, as told by you: {after.procedure.values[event.name].name}, {say_value(event.spec.value)}."


def _checked_in(before: State, event: e.CheckedIn, after: State) -> str:
    return (
        "Are you all right? Say: I am here.",
        "Please answer. Say: I am here.",
        "No answer. Raising the alarm.",
    )[min(event.level, 3) - 1]


def _not_understood(before: State, event: e.NotUnderstood, after: State) -> str:
    if event.second in twins_of(event.first) and "point" not in event.first.split():
        return f"Not clear. Say: {digit_by_digit(event.first)}. Or: {digit_by_digit(event.second)}."
    if event.first and event.second:
        return f"Not clear. Was it: {event.first}? Or: {event.second}? Say it again."
    return "That was not clear. Say it again."


_SAID: dict[type[e.Event], Callable[[State, Any, State], str]] = {
    e.JobOpened: _opened,
    e.EvidenceGiven: _evidence,
    e.GatePassed: _passed,
    e.GateFell: _fell,
    e.ClaimHeard: _claim,
    e.ClaimDropped: lambda before, event, after: "Dropped.",
    e.ChoiceMade: lambda before, event, after: f"{event.option.replace('-', ' ').capitalize()}.",
    e.TorqueGiven: _torque,
    e.ReadingTaken: _reading,
    e.ReadingWithdrawn: lambda before, event, after: "Taken back.",
    e.EvidenceWithdrawn: lambda before, event, after: "Taken back.",
    e.StepReopened: lambda before, event, after: "Going back.",
    e.StepSkipped: lambda before, event, after: "Left out.",
    e.TimerEnded: _timer_ended,
    e.ToolMeasured: lambda before, event, after: tools(after),
    e.ValueTold: _told,
    e.CheckedIn: _checked_in,
    e.Refused: lambda before, event, after: event.say,
    e.NotUnderstood: _not_understood,
    e.Asked: lambda before, event, after: answer_topic(after, event.topic, present),
    e.ListeningPaused: lambda before, event, after: "I stop listening. When you need me, say: listen again.",
    e.ListeningResumed: lambda before, event, after: "I am listening again.",
    e.Parked: lambda before, event, after: "The job is parked. Nothing is lost. Say: carry on with the job.",
    e.Resumed: lambda before, event, after: f"Carrying on with {after.procedure.title.lower()}.",
    e.JobFinished: lambda before, event, after: finish(after),
}
