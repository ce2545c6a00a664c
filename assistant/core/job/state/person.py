"""What facts of the person's safety change."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but
from assistant.core.job.state.state import State


def _help_called(state: State, event: e.HelpCalled, at: datetime) -> State:
    return but(state, calling=True, aside=())


def _came_out(state: State, event: e.CameOut, at: datetime) -> State:
    return but(state, out=True)


def _danger_said(state: State, event: e.DangerSaid, at: datetime) -> State:
    """What is unsure from now on is so because the car is not safe."""
    hazards = frozenset(one.id for one in state.procedure.conditions if one.hazard)
    shaken = state.shaken | (state.conditions - hazards)
    return but(state, aside=(), forgotten=frozenset(), shaken=shaken)


CHANGES: dict[type[e.Event], Change] = {
    e.HelpCalled: _help_called,
    e.CameOut: _came_out,
    e.DangerSaid: _danger_said,
}
