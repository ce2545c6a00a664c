"""Taking back: "that was wrong" takes back the last thing that was said, whatever it was; "go back" leads back a step.

Nothing is un-written: what is taken back is a fact of its own, and permissions whose cause is gone fall with it.
"""

from __future__ import annotations

from collections.abc import Callable

from assistant.core.job import events as e
from assistant.core.job import known as facts
from assistant.core.job import moving
from assistant.core.job.conditions import all_unmet, blocked
from assistant.core.job.moving import Draft
from assistant.core.job.state import Said, State


def undo(draft: Draft) -> None:
    """Take back the last thing that the person said."""
    state = draft.state
    if state.pending:
        draft.add(e.ClaimDropped(state.pending.what))
    elif not state.said:
        draft.add(e.Refused("undo", "There is nothing to take back. Say: go back one step."))
    else:
        _if_possible(draft, lambda trial: _take_back(trial, state.said[-1]))


def back(draft: Draft) -> None:
    """Drop what waits to be confirmed, or lead back to the step before."""
    if draft.state.pending:
        draft.add(e.ClaimDropped(draft.state.pending.what))
    elif len(draft.state.path) < 2:
        draft.add(e.Refused("first", "This is the first step."))
    else:
        _if_possible(draft, lambda trial: moving.reopen(trial, _target(trial.state)))


def _target(state: State) -> str:
    """Return the step to go back to: the one before, or the one that lets the fluid out, where what holds it in would
    count as open again: whoever opens that with the fluid in has to begin there."""
    before = state.path[-2]
    filled = {name for name in state.drained if facts.poured(state, name).magnitude > 0}
    if not filled:
        return before
    for place in range(len(state.path) - 2, -1, -1):
        step = state.procedure.step(state.path[place])
        if step.drains in filled and set(step.opens).intersection(state.procedure.step(before).closes):
            return step.id
    return before


def _if_possible(draft: Draft, lead: Callable[[Draft], None]) -> None:
    """Lead back, unless the step there needs what can't be brought about any more by going back."""
    trial = Draft(draft.state, draft.at)
    lead(trial)
    if why := blocked(trial.state, trial.state.here):
        draft.add(e.Refused("back", f"There is no way back from here. {why} Go on instead."))
        return
    if facts.unread(trial.state, trial.state.here):
        draft.add(
            e.Refused("back", "There is no way back from here. What was read there no longer counts. Go on instead.")
        )
        return
    tags = facts.tags(trial.state)
    for found in all_unmet(trial.state, trial.state.here):
        if not found.condition.gated and not found.condition.ways(found.wanted, tags):
            what = f"{'only' if found.wanted else 'not'} while {found.condition.name.lower()}"
            draft.add(e.Refused("back", f"There is no way back from here. That is done {what}. Go on instead."))
            return
    for event in trial.events:
        draft.add(event)


def _take_back(draft: Draft, entry: Said) -> None:
    match entry.event:
        case e.EvidenceGiven(gate, ask):
            draft.add(e.EvidenceWithdrawn(gate, ask))
        case e.GatePassed(gate):
            draft.add(e.GateFell(gate, "withdrawn"))
        case e.ReadingTaken():
            _reading(draft, entry.event)
        case e.ChoiceMade(name) if not _to_depth(draft, entry.depth):
            draft.add(e.ChoiceWithdrawn(name))
        case e.ValueTold(name=name) | e.ValueUnknown(name):
            withdraw_value(draft, draft.state.vehicle.id, name)
        case e.ConditionChanged(name):
            _condition(draft, name)
        case e.StepDone():
            _to_depth(draft, entry.depth)


def _reading(draft: Draft, taken: e.ReadingTaken) -> None:
    """Take a reading back, and lead to where it is taken, if the person has gone on from there."""
    draft.add(e.ReadingWithdrawn(taken.step, taken.name))
    if taken.step in draft.state.path[:-1]:
        moving.reopen(draft, taken.step)


def _to_depth(draft: Draft, depth: int) -> bool:
    """Lead back to where the way was so long; tell whether that is somewhere else."""
    gone_on = depth < len(draft.state.path)
    if gone_on:
        moving.reopen(draft, draft.state.path[depth - 1])
    return gone_on


def _condition(draft: Draft, name: str) -> None:
    """Take back what was said of the car: a hazard may be there again, and nothing made safe stays."""
    hazard = draft.state.procedure.condition(name).hazard
    draft.add(e.ConditionChanged(name, True if hazard else None))
    moving.let_gates_fall(draft, f"{name}:{'holds' if hazard else 'over'}")


def withdraw_value(draft: Draft, vehicle: str, name: str) -> None:
    """Take back a value that the owner told, and lead to where a part was tightened by it."""
    draft.add(e.ValueWithdrawn(vehicle, name))
    procedure = draft.state.procedure
    parts = {part.id for part in procedure.parts if part.torque == name and part.id in draft.state.torques}
    tightened = next((step.id for step in procedure.steps if step.tighten and step.tighten.part in parts), None)
    if tightened and tightened in draft.state.path[:-1]:
        moving.reopen(draft, tightened)
