"""How a job moves from step to step, forward and back, and what that does to its parts, gates and times.

Going back is careful: what the reopened steps had closed counts as open again, what they had opened stays
open, and a gate whose cause is touched falls.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from assistant.core import events as e
from assistant.core import facts
from assistant.core.procedure import Step
from assistant.core.state import State, evolve


class Draft:
    """Facts being decided, and the state as they would make it."""

    def __init__(self, state: State, at: datetime) -> None:
        self.state = state
        self.at = at
        self.events: list[e.Event] = []

    def add(self, event: e.Event) -> None:
        """Append a fact."""
        self.events.append(event)
        self.state = evolve(self.state, event, self.at)


def first_step(state: State) -> str:
    """Return the id of the first step that applies."""
    tags = facts.tags(state)
    return next(step.id for step in state.procedure.steps if step.applies(tags))


def enter(draft: Draft, name: str) -> None:
    """Lead the person to a step, and start its time where it has one."""
    draft.add(e.StepEntered(name))
    _start_time(draft)


def _start_time(draft: Draft) -> None:
    step = draft.state.here
    if step.wait:
        draft.add(e.TimerStarted(step.id, draft.at + timedelta(minutes=step.wait.minutes)))


def complete(draft: Draft) -> None:
    """End the present step with its effects, and go on; refused where it would end the job with something open."""
    step = draft.state.here
    trial = Draft(draft.state, draft.at)
    _effects(trial, step)
    if following(trial.state, step) is None and trial.state.ledger.parts:
        names = ", ".join(part.name for part in trial.state.ledger.open_in(draft.state.procedure))
        draft.add(e.Refused("open", f"The job can't end yet. Still open: {names}. Say: go back one step."))
        return
    for event in trial.events:
        draft.add(event)
    go_on(draft, step)


def _effects(draft: Draft, step: Step) -> None:
    draft.add(e.StepDone(step.id))
    for part in step.opens:
        _open(draft, part)
    for part in step.closes:
        draft.add(e.PartClosed(part))
    for effect in step.does:
        draft.add(e.CarChanged(effect))
        let_gates_fall(draft, effect)


def _open(draft: Draft, part: str) -> None:
    draft.add(e.PartOpened(part))
    if draft.state.procedure.part(part).leak:
        let_gates_fall(draft, "opened")


def let_gates_fall(draft: Draft, cause: str) -> None:
    """Let every gate fall whose permission ends with that cause, and forget the evidence given towards it."""
    for gate in draft.state.procedure.gates:
        begun = gate.id in draft.state.gates or any(key[0] == gate.id for key in draft.state.evidence)
        if cause in gate.falls_on and begun:
            draft.add(e.GateFell(gate.id, cause))


def following(state: State, step: Step) -> str | None:
    """Return the id of the step after that one which applies; None at the end."""
    steps = state.procedure.steps
    tags = facts.tags(state)
    start = next(index for index, other in enumerate(steps) if other.id == (step.then or step.id))
    candidates = steps[start + (0 if step.then else 1) :]
    return next((other.id for other in candidates if other.applies(tags)), None)


def go_on(draft: Draft, step: Step) -> None:
    """Lead on from a step that ended; the job is finished where none follows."""
    name = following(draft.state, step)
    if name is None:
        draft.add(e.JobFinished())
    else:
        enter(draft, name)


def reopen(draft: Draft, target: str) -> None:
    """Go back along the path to a step, taking back with care all that was done since, the step itself included."""
    path = draft.state.path
    index = len(path) - 1 - path[::-1].index(target)
    for name in reversed(path[index:-1]):
        _take_back(draft, draft.state.procedure.step(name))
    draft.add(e.StepReopened(target))
    _start_time(draft)


def _take_back(draft: Draft, step: Step) -> None:
    if step.reading and any(fact.step == step.id for fact in draft.state.readings):
        draft.add(e.ReadingWithdrawn(step.id, step.reading.name))
    for part in step.closes:
        _open(draft, part)
    for effect in step.does:
        let_gates_fall(draft, effect)
