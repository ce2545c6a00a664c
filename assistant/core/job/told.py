"""What the owner told of their vehicles, worked out from the facts of all jobs: the word that was written last counts.

An older job may go on after a younger one ended, and clocks are set back: the running number tells, never the time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from assistant.core.data.vehicle import Spec
from assistant.core.job import events as e

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
    for row in sorted((row for rows in jobs for row in rows), key=lambda row: row.place):
        fact = row.event
        if isinstance(fact, e.ValueTold):
            known[fact.vehicle, fact.name] = Told(fact.vehicle, fact.name, fact.spec, row.at, row.job)
        elif isinstance(fact, e.ValueWithdrawn):
            known.pop((fact.vehicle, fact.name), None)
    return tuple(known[key] for key in sorted(known))
