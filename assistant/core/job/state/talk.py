"""What facts of the talk change: what waits to be confirmed, and whether anybody listens."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but
from assistant.core.job.state.state import State


def _claim_heard(state: State, event: e.ClaimHeard, at: datetime) -> State:
    return but(state, pending=event)


def _claim_dropped(state: State, event: e.ClaimDropped, at: datetime) -> State:
    return but(state, pending=None)


def _listening_paused(state: State, event: e.ListeningPaused, at: datetime) -> State:
    return but(state, paused=True)


def _listening_resumed(state: State, event: e.ListeningResumed, at: datetime) -> State:
    return but(state, paused=False)


CHANGES: dict[type[e.Event], Change] = {
    e.ClaimHeard: _claim_heard,
    e.ClaimDropped: _claim_dropped,
    e.ListeningPaused: _listening_paused,
    e.ListeningResumed: _listening_resumed,
}
