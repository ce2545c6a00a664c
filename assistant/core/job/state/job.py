"""What facts of the job as a whole change: put aside, named, damaged, stopped, finished."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but
from assistant.core.job.state.state import State


def _parked(state: State, event: e.Parked, at: datetime) -> State:
    return but(state, parked=True, paused=False, pending=None, aside=())


def _resumed(state: State, event: e.Resumed, at: datetime) -> State:
    return but(state, parked=False, paused=False, pending=None, out=False, lost=None, put_away=False)


def _job_named(state: State, event: e.JobNamed, at: datetime) -> State:
    return but(state, label=event.name)


def _job_put_away(state: State, event: e.JobPutAway, at: datetime) -> State:
    return but(state, put_away=True)


def _tail_lost(state: State, event: e.TailLost, at: datetime) -> State:
    """Anything may have happened since: no permission stands, nothing of the car is sure, no word can be taken back."""
    return but(
        state,
        gates=(),
        evidence={},
        conditions=frozenset(),
        unsure=frozenset(one.id for one in state.procedure.conditions),
        forgotten=frozenset(one.id for one in state.procedure.conditions),
        begun=False,
        turning=False,
        renewed=frozenset(),
        pending=None,
        doubted="",
        aside=(),
        said=(),
        out=False,
        lost=event,
    )


def _stop_called(state: State, event: e.StopCalled, at: datetime) -> State:
    return but(state, stopping=event, pending=None)


def _stop_dropped(state: State, event: e.StopDropped, at: datetime) -> State:
    return but(state, stopping=None, out=False)  # who goes on there is looked after again


def _job_stopped(state: State, event: e.JobStopped, at: datetime) -> State:
    return but(state, stopping=None, stopped=event, finished_at=at, timers=())


def _job_finished(state: State, event: e.JobFinished, at: datetime) -> State:
    return but(state, finished_at=at)


CHANGES: dict[type[e.Event], Change] = {
    e.Parked: _parked,
    e.Resumed: _resumed,
    e.JobNamed: _job_named,
    e.JobPutAway: _job_put_away,
    e.TailLost: _tail_lost,
    e.StopCalled: _stop_called,
    e.StopDropped: _stop_dropped,
    e.JobStopped: _job_stopped,
    e.JobFinished: _job_finished,
}
