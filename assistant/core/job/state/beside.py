"""What facts of what is worked out beside the job change."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but
from assistant.core.job.state.state import State


def _aside_asked(state: State, event: e.AsideAsked, at: datetime) -> State:
    return but(state, aside=(*state.aside, event))


def _aside_taken_back(state: State, event: e.AsideTakenBack, at: datetime) -> State:
    return but(state, aside=state.aside[:-1])


def _aside_ended(state: State, event: e.AsideLeft | e.WorkedOut, at: datetime) -> State:
    return but(state, aside=())


CHANGES: dict[type[e.Event], Change] = {
    e.AsideAsked: _aside_asked,
    e.AsideTakenBack: _aside_taken_back,
    e.AsideLeft: _aside_ended,
    e.WorkedOut: _aside_ended,
}
