"""Taking back: "that was wrong" takes back the last thing that was said, whatever it was; "go back" leads back a step.

Nothing is un-written: what is taken back is a fact of its own, and permissions whose cause is gone fall with it.
"""

from __future__ import annotations

from collections.abc import Callable

from assistant.core.compute.bolts import torque
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job import known, moving
from assistant.core.job.conditions import all_unmet, blocked, ways_of
from assistant.core.job.moving import Draft
from assistant.core.job.question import question
from assistant.core.job.state import Said, State
from assistant.core.job.vehicle_file import NEW_VALUES


def undo(draft: Draft) -> None:
    """Take back the last thing that the person said."""
    state = draft.state
    if state.pending:
        draft.add(e.ClaimDropped(state.pending.what))
    elif question(state).about == NEW_VALUES:
        draft.add(e.VehicleDeclined())
    elif state.turning and state.here.tighten:
        draft.add(e.TorqueWithdrawn(state.here.tighten.part))
    elif not state.said:
        draft.add(e.Refused("undo", "There is nothing to take back. Say: go back one step."))
    else:
        _if_possible(draft, lambda trial: _take_back(trial, state.said[-1]))


def back(draft: Draft) -> None:
    """Drop what waits to be confirmed, or lead back to the step before."""
    if draft.state.pending:
        draft.add(e.ClaimDropped(draft.state.pending.what))
    elif question(draft.state).about == NEW_VALUES:
        draft.add(e.VehicleDeclined())
    elif len(draft.state.path) < 2:
        draft.add(e.Refused("first", "This is the first step."))
    else:
        _if_possible(draft, lambda trial: moving.reopen(trial, _target(trial.state)))


def _target(state: State) -> int:
    """Return the place of the way to go back to: the one before, or the one that lets the fluid out, where what holds
    it in would count as open again: whoever opens that with the fluid in has to begin there."""
    before = len(state.path) - 2
    filled = {name for name in state.drained if known.poured(state, name).magnitude > 0}
    if not filled:
        return before
    closed = state.procedure.step(state.path[before]).closes
    for place in range(len(state.path) - 2, -1, -1):
        step = state.procedure.step(state.path[place])
        if step.drains in filled and set(step.opens).intersection(closed):
            return place
    return before


def _if_possible(draft: Draft, lead: Callable[[Draft], None]) -> None:
    """Lead back, unless the step there needs what can't be brought about any more by going back."""
    trial = Draft(draft.state, draft.at)
    lead(trial)
    if why := blocked(trial.state, trial.state.here):
        draft.add(e.Refused("back", f"There is no way back from here. {why} Go on instead."))
        return
    if known.unread(trial.state, trial.state.here):
        draft.add(
            e.Refused("back", "There is no way back from here. What was read there no longer counts. Go on instead.")
        )
        return
    for found in all_unmet(trial.state, trial.state.here):
        if not found.condition.gated and not ways_of(trial.state, found):
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
        case e.NewShown(part):
            draft.add(e.NewWithdrawn(part))
        case _:
            _take_back_of_step(draft, entry)


def _take_back_of_step(draft: Draft, entry: Said) -> None:
    match entry.event:
        case e.ReadingTaken():
            _reading(draft, entry.event, entry.depth)
        case e.ChoiceMade(name) if not _to_depth(draft, entry.depth):
            draft.add(e.ChoiceWithdrawn(name))
        case e.ValueTold() | e.ValueUnknown() | e.VehicleTaken() | e.VehicleDeclined():
            _values(draft, entry.event)
        case e.ConditionChanged(name):
            _condition(draft, name)
        case e.StepDone():
            _to_depth(draft, entry.depth)


def _values(draft: Draft, told: e.ValueTold | e.ValueUnknown | e.VehicleTaken | e.VehicleDeclined) -> None:
    """Take back a value that the owner told, or which values of the vehicle's file to go by: that is asked again."""
    if isinstance(told, e.ValueTold | e.ValueUnknown):
        withdraw_value(draft, draft.state.vehicle.id, told.name)
        return
    now, before, declined = draft.state.vehicle, draft.state.vehicle_before, draft.state.declined
    if declined:
        draft.add(e.VehicleOffered(declined))
    elif before:
        take_vehicle(draft, before, taken_back=True)
        draft.add(e.VehicleOffered(now))


def _reading(draft: Draft, taken: e.ReadingTaken, depth: int) -> None:
    """Take a reading back, and lead to where it is taken, if the person has gone on from there."""
    draft.add(e.ReadingWithdrawn(taken.step, taken.name))
    place = moving.last_place(draft.state.path, taken.step)
    here = taken.step == draft.state.step and depth == len(draft.state.path)
    if place is not None and not here:
        moving.reopen(draft, place)


def _to_depth(draft: Draft, depth: int) -> bool:
    """Lead back to where the way was so long; tell whether that is somewhere else."""
    gone_on = depth < len(draft.state.path)
    if gone_on:
        moving.reopen(draft, depth - 1)
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
    _lead_to_tightening(
        draft, {part.id for part in procedure.parts if part.torque == name and part.id in draft.state.torques}
    )


def take_vehicle(draft: Draft, vehicle: Vehicle, *, taken_back: bool = False) -> None:
    """Go by other values of the vehicle, and lead to where a part was tightened by one that they don't agree with."""
    draft.add(e.VehicleTaken(vehicle, taken_back))
    state, parts = draft.state, set[str]()
    for part in state.procedure.parts:
        wanted = state.spec(part.torque) if part.torque else None
        given = state.torques.get(part.id)
        if wanted and given and not torque.agrees(given, wanted.value):
            parts.add(part.id)
    _lead_to_tightening(draft, parts)


def _lead_to_tightening(draft: Draft, parts: set[str]) -> None:
    """Lead back to the first step on the way that tightened one of some parts."""
    procedure = draft.state.procedure
    tightened = next((step.id for step in procedure.steps if step.tighten and step.tighten.part in parts), None)
    place = moving.last_place(draft.state.path, tightened) if tightened else None
    if place is not None:
        moving.reopen(draft, place)
