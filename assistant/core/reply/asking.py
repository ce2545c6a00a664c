"""What a person is asked, and what a step tells them to do: the words of the question that is open."""

from __future__ import annotations

from collections.abc import Callable

from assistant.core.data.step import Step
from assistant.core.job.conditions import blocked, driving, ways_of
from assistant.core.job.filling import draws_off, fill_of
from assistant.core.job.question import OF_STEP, Question, Waiting, question
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import NEW_VALUES, told_differences
from assistant.core.job.wording import as_clause, fill_words, lacking_notes, spoken
from assistant.core.reply.fastenings import ask_new, ask_turn, before_torque, torque_last
from assistant.core.reply.leaving import come_out, over
from assistant.core.reply.possible import aside_question, name_of, possible


def present(state: State) -> str:
    """Return what a person needs to hear now: the open question, with its step where that matters."""
    asked = question(state)
    prompt = ask(state, asked)
    return f"{instruction(state, state.here)} {prompt}".strip() if asked.waiting in OF_STEP else prompt


def instruction(state: State, step: Step) -> str:
    """Return what a step tells the person to do, its cautions first."""
    cautions = " ".join(f"Careful. {spoken(state, caution)}" for caution in step.cautions)
    filled = fill_of(state, step)
    amount = fill_words(state, filled) if filled else ""
    unknown = lacking_notes(state, step.say)
    fastened = before_torque(state, step), torque_last(state, step)
    parts = (cautions, fastened[0], spoken(state, step.say), unknown, amount, fastened[1])
    return " ".join(part for part in parts if part)


def ask(state: State, asked: Question) -> str:
    """Return the words of an open question; empty where "next step" is all that is waited for."""
    say = _ASKS.get(asked.waiting)
    return say(state, asked) if say else ""


def _to_confirm(state: State, asked: Question) -> str:
    if asked.about == NEW_VALUES and state.offered:
        differ = told_differences(state.procedure, state.vehicle, state.offered)
        return f"The vehicle's file has changed since this job began. {differ}. {possible(state)}"
    heard = f"I heard: {_evidence_of(state, asked)}. " if asked.gate else ""
    return f"{heard}Say: confirm {name_of(asked.about)}."


def _missing(state: State, asked: Question) -> str:
    wanted = state.procedure.values[asked.about]
    without = " Or say: that value is unknown." if wanted.unknown else ""
    return f"I do not know the {wanted.name}. {wanted.find} Then tell me.{without}"


def _when_done(state: State, asked: Question) -> str:
    return f"Stop {state.vehicle.called} first. {possible(state)}" if driving(state) else ""


def _of_step(state: State, asked: Question) -> str:
    step = state.here
    if draws_off(state, step):
        return "How much did you draw off?"
    questions = (step.reading, step.choice, step.claim, step.tighten)
    return next((spoken(state, found.ask) for found in questions if found), "")


def _condition(state: State, asked: Question) -> str:
    """Return what stands against the step, what to do about it, and the words by which to say that it is done."""
    assert asked.unmet
    condition, wanted = asked.unmet.condition, asked.unmet.wanted
    ways = ways_of(state, asked.unmet)
    why = "" if wanted else f"{condition.name}, as far as I know."
    if condition.id in state.forgotten:
        why = f"I do not know whether {as_clause(condition.name)} If {'not' if wanted else 'so'}:"
    return " ".join(part for part in ("Stop.", why, spoken(state, ways[0].do) if ways else "", possible(state)) if part)


def _evidence_of(state: State, asked: Question) -> str:
    """Return what was answered to the challenges of a gate, in their order."""
    assert asked.gate
    given = (state.evidence.get((asked.gate.id, ask.id)) for ask in asked.gate.asks)
    return ", ".join(answer for answer in given if answer)


_ASKS: dict[Waiting, Callable[[State, Question], str]] = {
    Waiting.FINISHED: lambda state, asked: over(state),
    Waiting.PARKED: lambda state, asked: "The job is parked. Say: carry on with the job.",
    Waiting.PAUSED: lambda state, asked: "I am not listening. Say: listen again.",
    Waiting.ASIDE: lambda state, asked: aside_question(state.aside[-1]) if state.aside else "",
    Waiting.OUT: lambda state, asked: come_out(state),
    Waiting.CONFIRM: _to_confirm,
    Waiting.CONDITION: _condition,
    Waiting.VALUE: _missing,
    Waiting.BLOCKED: lambda state, asked: blocked(state, state.here),
    Waiting.EVIDENCE: lambda state, asked: spoken(state, asked.ask.ask) if asked.ask else "",
    Waiting.READING: _of_step,
    Waiting.CHOICE: _of_step,
    Waiting.CLAIM: _of_step,
    Waiting.NEW: lambda state, asked: ask_new(state, asked.about),
    Waiting.TIGHTEN: _of_step,
    Waiting.TURN: lambda state, asked: ask_turn(state),
    Waiting.TIME: _when_done,
    Waiting.NEXT: _when_done,
}
"""The words of each kind of question."""
