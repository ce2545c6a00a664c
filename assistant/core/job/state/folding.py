"""The fold of a job's facts to its state: what each kind of fact changes is told by the file of its subject."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import reduce

from assistant.core.errors import Bug
from assistant.core.job import events as e
from assistant.core.job.state import beside, gates, job, person, steps, talk, values
from assistant.core.job.state import car as vehicle
from assistant.core.job.state.changing import Change, but
from assistant.core.job.state.state import State

CHANGES: dict[type[e.Event], Change] = {
    **steps.CHANGES,
    **gates.CHANGES,
    **values.CHANGES,
    **vehicle.CHANGES,
    **talk.CHANGES,
    **person.CHANGES,
    **beside.CHANGES,
    **job.CHANGES,
}
"""What each kind of fact changes; the kinds that are not here change nothing but the time of the last word."""

_UNHEARD = (e.TimerEnded, e.CheckedIn, e.LeftAlone, e.NotUnderstood, e.HelpTried, e.TailLost, e.JobNamed, e.JobPutAway,
            e.VehicleOffered)  # fmt: skip
"""Facts that do not show that the person is well."""


def opening(event: e.JobOpened, at: datetime) -> State:
    """Return the state of a job that just began."""
    return State(procedure=event.procedure, vehicle=event.vehicle, opened_at=at, told=event.told, heard_at=at, events=1)


def evolve(state: State, event: e.Event, at: datetime) -> State:
    """Return the state after one more fact."""
    change = CHANGES.get(type(event))
    changed = change(state, event, at) if change else state
    heard = state.heard_at if isinstance(event, _UNHEARD) else at
    check_in = event.level if isinstance(event, e.CheckedIn) else (0 if heard == at else state.check_in)
    asked_at = at if isinstance(event, e.CheckedIn) else (None if heard == at else state.asked_at)
    calling = changed.calling and not (isinstance(event, e.Asked) and event.topic == "here")
    return but(changed, events=state.events + 1, heard_at=heard, check_in=check_in, asked_at=asked_at, calling=calling)


def fold(recorded: Iterable[e.Recorded]) -> State:
    """Return the state that a journal tells; Bug where it does not begin with the opening of a job."""
    rest = iter(recorded)
    first = next(rest, None)
    if first is None or not isinstance(first.event, e.JobOpened):
        raise Bug("a journal begins with the opening of its job")
    return reduce(lambda state, item: evolve(state, item.event, item.at), rest, opening(first.event, first.at))
