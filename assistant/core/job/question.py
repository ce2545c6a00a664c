"""What the assistant waits for in a state. Derived, never stored: a state cannot contradict its question."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.core.data.gate import Ask, Gate
from assistant.core.data.procedure import Step
from assistant.core.job import known as facts
from assistant.core.job.conditions import Unmet, blocked, unmet
from assistant.core.job.filling import fill_of
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import NEW_VALUES


class Waiting(StrEnum):
    """The kinds of question."""

    FINISHED = "finished"
    PARKED = "parked"
    PAUSED = "paused"
    ASIDE = "aside"
    CONFIRM = "confirm"
    CONDITION = "condition"
    VALUE = "value"
    BLOCKED = "blocked"
    EVIDENCE = "evidence"
    READING = "reading"
    CHOICE = "choice"
    CLAIM = "claim"
    TIGHTEN = "tighten"
    TIME = "time"
    NEXT = "next"


DRAWN_OFF = "drawn-off"
"""Name of the reading of what came out again, where too much was poured in."""
OF_STEP = frozenset({Waiting.READING, Waiting.CHOICE, Waiting.CLAIM, Waiting.TIGHTEN, Waiting.TIME, Waiting.NEXT})
"""Questions that a step itself asks, once nothing stands before it."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is waited for, and the thing that it is about."""

    waiting: Waiting
    about: str = ""
    gate: Gate | None = None
    """The gate that asks, or whose evidence waits to be confirmed."""
    ask: Ask | None = None
    unmet: Unmet | None = None
    """The condition that has to be brought about, or ended."""

    def __str__(self) -> str:
        return f"{self.waiting}:{self.about}" if self.about else str(self.waiting)


def question(state: State) -> Question:
    """Return what the assistant waits for: the first of these that applies."""
    if "question" not in state.derived:
        state.derived["question"] = _question(state)
    known: Question = state.derived["question"]
    return known


def _question(state: State) -> Question:
    return _beside_the_steps(state) or _before_the_step(state)


def _beside_the_steps(state: State) -> Question | None:
    """Return what is waited for whatever the step is: none of it moves the job."""
    if state.finished_at:
        return Question(Waiting.FINISHED)
    if state.parked:
        return Question(Waiting.PARKED)
    if state.paused:
        return Question(Waiting.PAUSED)
    if state.aside:
        return Question(Waiting.ASIDE, ":".join(filter(None, (state.aside[-1].work, state.aside[-1].wanted))))
    return None


def _before_the_step(state: State) -> Question:
    if state.pending:
        return Question(Waiting.CONFIRM, state.pending.what)
    return _asked_at(state, state.here)


def _asked_at(state: State, step: Step) -> Question:
    if found := unmet(state, step):
        return Question(Waiting.CONDITION, found.condition.id, unmet=found)
    if state.offered:
        return Question(Waiting.CONFIRM, NEW_VALUES)
    if missing := state.doubted or facts.missing(state, step):
        return Question(Waiting.VALUE, missing)
    if blocked(state, step):
        return Question(Waiting.BLOCKED, step.id)
    return _unmet_gate(state, step) or of_step(step, state)


def _unmet_gate(state: State, step: Step) -> Question | None:
    for gate in (state.procedure.gate(name) for name in step.needs if name not in state.gates):
        if ask := next_ask(state, gate):
            return Question(Waiting.EVIDENCE, f"{gate.id}/{ask.id}", gate, ask)
        return Question(Waiting.CONFIRM, gate.name, gate)
    return None


def next_ask(state: State, gate: Gate) -> Ask | None:
    """Return the first challenge of a gate that has no answer yet; None where all have."""
    tags = facts.tags(state)
    answered = state.evidence
    return next((ask for ask in gate.asks if ask.applies(tags) and (gate.id, ask.id) not in answered), None)


def denies_the_bad(asked: Question, what: str) -> bool:
    """Return whether a denial denies an answer that would show the opposite of what is wanted: "it did not move"."""
    options = asked.ask.options if asked.ask else ()
    return any(option.refuse and what == f"option:{option.id}" for option in options)


def of_step(step: Step, state: State | None = None) -> Question:
    """Return what a step itself asks, once nothing stands before it; without a state, what it asks first."""
    filled = fill_of(state, step) if state else None
    if filled and filled.surplus.magnitude:
        return Question(Waiting.READING, DRAWN_OFF)
    if step.reading and not (filled and filled.enough):
        return Question(Waiting.READING, step.reading.name)
    if step.choice:  # before its time, if it has one: what is looked for while it runs
        return Question(Waiting.CHOICE, step.choice.name)
    if step.claim:
        return Question(Waiting.CLAIM, step.claim.name)
    if step.tighten:
        return Question(Waiting.TIGHTEN, step.tighten.part)
    if step.wait:
        return Question(Waiting.TIME, step.id)
    return Question(Waiting.NEXT)
