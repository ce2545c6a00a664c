"""What the owner told of their vehicles, worked out from the facts of all jobs: the newest word counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from assistant.core import events as e
from assistant.core.procedure import Spec

KINDS = (e.ValueTold, e.ValueWithdrawn)
"""The kinds of fact that tell it; no other needs to be read."""


@dataclass(frozen=True, slots=True)
class Told:
    """A value that the owner told of a vehicle, and that they did not take back."""

    vehicle: str
    name: str
    spec: Spec
    at: datetime
    job: str
    """Name of the job in whose journal it stands."""


def told_in(jobs: Iterable[Sequence[e.Recorded]]) -> tuple[Told, ...]:
    """Return what holds of all that was told in some jobs, by vehicle and name; other facts are passed over."""
    known: dict[tuple[str, str], Told] = {}
    for at, row in _in_order(jobs):
        fact = row.event
        if isinstance(fact, e.ValueTold):
            known[fact.vehicle, fact.name] = Told(fact.vehicle, fact.name, fact.spec, at, row.job)
        elif isinstance(fact, e.ValueWithdrawn):
            known.pop((fact.vehicle, fact.name), None)
    return tuple(known[key] for key in sorted(known))


def _in_order(jobs: Iterable[Sequence[e.Recorded]]) -> list[tuple[datetime, e.Recorded]]:
    """Return facts in the order in which they came about, each with its time.

    An older job may go on after a younger one ended, so the time tells; within a job its own order does, also where
    the clock was set back.
    """
    timed: list[tuple[datetime, e.Recorded]] = []
    for rows in jobs:
        latest = rows[0].at if rows else None
        for row in rows:
            latest = max(latest, row.at) if latest else row.at
            timed.append((latest, row))
    return sorted(timed, key=lambda item: item[0])
