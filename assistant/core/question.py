"""What the assistant waits for in a state. Derived, never stored: a state cannot contradict its question."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.core import facts
from assistant.core.procedure import Ask, Gate, Step
from assistant.core.state import State


class Waiting(StrEnum):
    """The kinds of question."""

    FINISHED = "finished"
    PARKED = "parked"
    PAUSED = "paused"
    CONFIRM = "confirm"
    VALUE = "value"
    EVIDENCE = "evidence"
    SEALED = "sealed"
    READING = "reading"
    CHOICE = "choice"
    CLAIM = "claim"
    TIGHTEN = "tighten"
    TIME = "time"
    NEXT = "next"


@dataclass(frozen=True, slots=True)
class Question:
    """What is waited for, and the thing that it is about."""

    waiting: Waiting
    about: str = ""
    gate: Gate | None = None
    ask: Ask | None = None

    def __str__(self) -> str:
        return f"{self.waiting}:{self.about}" if self.about else str(self.waiting)


def question(state: State) -> Question:
    """Return what the assistant waits for: the first of these that applies."""
    if state.finished_at:
        return Question(Waiting.FINISHED)
    if state.parked:
        return Question(Waiting.PARKED)
    if state.paused:
        return Question(Waiting.PAUSED)
    if state.pending:
        return Question(Waiting.CONFIRM, state.pending.what)
    step = state.here
    if missing := facts.missing(state, step):
        return Question(Waiting.VALUE, missing)
    return _unmet_gate(state, step) or of_step(step)


def _unmet_gate(state: State, step: Step) -> Question | None:
    for name in step.needs:
        gate = state.procedure.gate(name)
        if gate.sealed and facts.unsealed(state):
            return Question(Waiting.SEALED, gate.id, gate)
        if name in state.gates:
            continue
        if ask := next_ask(state, gate):
            return Question(Waiting.EVIDENCE, f"{gate.id}/{ask.id}", gate, ask)
    return None


def next_ask(state: State, gate: Gate) -> Ask | None:
    """Return the first challenge of a gate that has no answer yet; None where all have."""
    tags = facts.tags(state)
    answered = state.evidence
    return next((ask for ask in gate.asks if ask.applies(tags) and (gate.id, ask.id) not in answered), None)


def of_step(step: Step) -> Question:
    """Return what a step itself asks, once nothing stands before it."""
    if step.reading:
        return Question(Waiting.READING, step.reading.name)
    if step.choice:
        return Question(Waiting.CHOICE, step.choice.name)
    if step.claim:
        return Question(Waiting.CLAIM, step.claim.name)
    if step.tighten:
        return Question(Waiting.TIGHTEN, step.tighten.part)
    if step.wait:
        return Question(Waiting.TIME, step.id)
    return Question(Waiting.NEXT)
