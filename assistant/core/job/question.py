"""What the assistant waits for in a state. Derived, never stored: a state cannot contradict its question."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.core.data.control import SafeEnd
from assistant.core.data.gate import Ask, Gate
from assistant.core.data.step import Step
from assistant.core.job import known
from assistant.core.job.conditions import Unmet, blocked, may_be_under, unmet, unmet_at_end
from assistant.core.job.fastening import not_shown_new
from assistant.core.job.filling import fill_of
from assistant.core.job.state import State
from assistant.core.job.vehicle_file import NEW_VALUES


class Waiting(StrEnum):
    """The kinds of question."""

    FINISHED = "finished"
    PARKED = "parked"
    PAUSED = "paused"
    ASIDE = "aside"
    OUT = "out"
    CONFIRM = "confirm"
    CONDITION = "condition"
    VALUE = "value"
    BLOCKED = "blocked"
    EVIDENCE = "evidence"
    READING = "reading"
    CHOICE = "choice"
    CLAIM = "claim"
    NEW = "new"
    TIGHTEN = "tighten"
    TURN = "turn"
    TIME = "time"
    NEXT = "next"


DRAWN_OFF = "drawn-off"
"""Name of the reading of what came out again, where too much was poured in."""
OF_STEP = frozenset({Waiting.READING, Waiting.CHOICE, Waiting.CLAIM, Waiting.NEW, Waiting.TIGHTEN, Waiting.TURN,
                     Waiting.TIME, Waiting.NEXT})  # fmt: skip
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
    if state.stopping:
        return _of_end(state, state.procedure.end(state.stopping.end))
    if state.pending:
        return Question(Waiting.CONFIRM, state.pending.what)
    return _before(state, state.here) or _unmet_gate(state, state.here) or of_step(state.here, state)


def _before(state: State, step: Step) -> Question | None:
    """Return what stands before a step: of the car, the file of the vehicle, a value that nobody told, an open part."""
    if found := unmet(state, step):
        return Question(Waiting.CONDITION, found.condition.id, unmet=found)
    if state.offered:
        return Question(Waiting.CONFIRM, NEW_VALUES)
    if missing := state.doubted or known.missing(state, step):
        return Question(Waiting.VALUE, missing)
    if blocked(state, step):
        return Question(Waiting.BLOCKED, step.id)
    return None


def _of_end(state: State, end: SafeEnd) -> Question:
    """Return what is asked before a job is stopped: nobody is left exposed, and the car can be left."""
    if may_be_under(state):
        return Question(Waiting.OUT, state.here.where)
    if found := unmet_at_end(state, end):
        return Question(Waiting.CONDITION, found.condition.id, unmet=found)
    return Question(Waiting.CONFIRM, end.name)


def _unmet_gate(state: State, step: Step) -> Question | None:
    for gate in (state.procedure.gate(name) for name in step.needs if name not in state.gates):
        if ask := next_ask(state, gate):
            return Question(Waiting.EVIDENCE, f"{gate.id}/{ask.id}", gate, ask)
        return Question(Waiting.CONFIRM, gate.name, gate)
    return None


def next_ask(state: State, gate: Gate) -> Ask | None:
    """Return the first challenge of a gate that has no answer yet; None where all have."""
    tags = known.tags(state)
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
    if state and (part := not_shown_new(state, step)):
        return Question(Waiting.NEW, part.id)
    if step.reading and not (filled and filled.enough):
        return Question(Waiting.READING, step.reading.name)
    if step.choice:  # before its time, if it has one: what is looked for while it runs
        return Question(Waiting.CHOICE, step.choice.name)
    if step.claim:
        return Question(Waiting.CLAIM, step.claim.name)
    if step.tighten:
        turning = state is not None and state.turning
        return Question(Waiting.TURN if turning else Waiting.TIGHTEN, step.tighten.part)
    if step.wait:
        return Question(Waiting.TIME, step.id)
    return Question(Waiting.NEXT)
