"""What facts of the car change: what is open, tightened, new; what holds of it; what ran out of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but, said, unsaid, with_key, without_keys
from assistant.core.job.state.state import Said, State, TakenReading


def _torque_given(state: State, event: e.TorqueGiven, at: datetime) -> State:
    tighten = state.here.tighten
    turning = tighten is not None and tighten.part == event.part and state.procedure.part(event.part).angle is not None
    return but(state, torques=with_key(state.torques, event.part, event.value), pending=None, turning=turning)


def _torque_withdrawn(state: State, event: e.TorqueWithdrawn, at: datetime) -> State:
    return but(state, torques=without_keys(state.torques, lambda part: part == event.part), turning=False)


def _angle_given(state: State, event: e.AngleGiven, at: datetime) -> State:
    return but(state, angles=with_key(state.angles, event.part, event.value), pending=None, turning=False)


def _new_shown(state: State, event: e.NewShown, at: datetime) -> State:
    return said(but(state, renewed=state.renewed | {event.part}), event)


def _new_withdrawn(state: State, event: e.NewWithdrawn, at: datetime) -> State:
    return unsaid(but(state, renewed=state.renewed - {event.part}), lambda one: one == e.NewShown(event.part))


def _part_opened(state: State, event: e.PartOpened, at: datetime) -> State:
    return but(
        state,
        ledger=state.ledger.opened(event.part),
        torques=without_keys(state.torques, lambda part: part == event.part),
        angles=without_keys(state.angles, lambda part: part == event.part),
        renewed=state.renewed - {event.part},
    )


def _part_closed(state: State, event: e.PartClosed, at: datetime) -> State:
    return but(state, ledger=state.ledger.closed(event.part))


def _condition_changed(state: State, event: e.ConditionChanged, at: datetime) -> State:
    name = {event.condition}
    changed = but(
        state,
        conditions=state.conditions | name if event.holds else state.conditions - name,
        unsure=state.unsure | name if event.holds is None else state.unsure - name,
        forgotten=state.forgotten - name,
        shaken=state.shaken - name if event.holds is False else state.shaken,
    )
    earlier = tuple(entry for entry in state.said if not _of_condition(entry, event.condition))
    changed = but(changed, said=earlier)  # of one condition the last word counts: taken back, it is unsure at once
    return said(changed, event) if event.said else changed


def _of_condition(entry: Said, name: str) -> bool:
    return isinstance(entry.event, e.ConditionChanged) and entry.event.condition == name


def _drained(state: State, event: e.Drained, at: datetime) -> State:
    return but(
        state,
        drained=state.drained | {event.fluid},
        readings=tuple(reading for reading in state.readings if not _of_fluid(reading, event.fluid)),
        said=tuple(entry for entry in state.said if not _of_fluid(entry.event, event.fluid)),
    )


def _of_fluid(one: Any, fluid: str) -> bool:
    """Return whether it is a reading of how much of a fluid there is: of no use once it ran out."""
    return isinstance(one, e.ReadingTaken | TakenReading) and one.of == fluid


CHANGES: dict[type[e.Event], Change] = {
    e.TorqueGiven: _torque_given,
    e.TorqueWithdrawn: _torque_withdrawn,
    e.AngleGiven: _angle_given,
    e.NewShown: _new_shown,
    e.NewWithdrawn: _new_withdrawn,
    e.PartOpened: _part_opened,
    e.PartClosed: _part_closed,
    e.ConditionChanged: _condition_changed,
    e.Drained: _drained,
}
