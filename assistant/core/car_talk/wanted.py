"""What jobs want to know of a vehicle: which values by the way it is built, and what of it is missing. Asks nobody."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.core.compute.base.calculation import Row
from assistant.core.data.building import OneOf
from assistant.core.data.procedure import Procedure, Wanted
from assistant.core.data.vehicle import Spec, System, Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job import known
from assistant.core.job.vehicle_values import check_all, check_needed, check_tags, check_values, opened

NOTHING_KNOWN = Vehicle(id="car", title="The car", about="", units=System.METRIC)
"""A vehicle of which nobody has told anything."""


@dataclass(frozen=True, slots=True)
class Use:
    """The values that one step of a job rests on, and when that step is done."""

    when: frozenset[str]
    unless: frozenset[str]
    names: frozenset[str]


def uses(job: Procedure) -> tuple[Use, ...]:
    """Return what each step of a job needs to know of the vehicle."""
    state = opened(job, NOTHING_KNOWN)
    found = []
    for step in job.steps:
        needed = {one for name in known.names_of(state, step) for one in known.needs(state, name)}
        found.append(Use(frozenset(step.when), frozenset(step.unless), frozenset(needed)))
    return tuple(found)


def groups_of(jobs: Sequence[Procedure]) -> dict[str, OneOf]:
    """Return the groups of ways of building a vehicle of some jobs, each once, by their tags."""
    found: dict[str, OneOf] = {}
    for group in (group for job in jobs for group in job.groups):
        found.setdefault(" ".join(sorted(group.tags)), group)
    return found


def values_of(job: Procedure, needs: Sequence[Use], tags: frozenset[str]) -> tuple[str, ...]:
    """Return the names of the values that a job needs from a vehicle built in this way.

    Left out is only what no step names but those that can't be done on it.
    """
    never = {tag for group in job.groups for tag in group.tags} - tags
    possible = [use for use in needs if use.when.isdisjoint(never) and use.unless.isdisjoint(tags)]
    named = {name for use in needs for name in use.names}
    wanted = {name for use in possible for name in use.names}
    return tuple(name for name in job.values if name in wanted or name not in named)


@dataclass(frozen=True, slots=True)
class Readiness:
    """What a job still lacks of a vehicle: it asks for a value, and does without a note."""

    job: Procedure
    fault: str = ""
    """Why the job can't be begun at all: what is not told of how it is built, or values that can't be right."""
    values: tuple[str, ...] = ()
    """Names of the values that it will ask for."""
    notes: tuple[str, ...] = ()
    """Names of the notes that it will do without."""

    @property
    def wanted(self) -> tuple[Wanted, ...]:
        """The values that it will ask for."""
        return tuple(self.job.values[name] for name in self.values)


def readiness(
    job: Procedure, vehicle: Vehicle, told: Mapping[str, Spec], tables: Mapping[str, Sequence[Row]]
) -> Readiness:
    """Return what a job lacks of a vehicle, beside what its owner told in jobs."""
    try:
        check_tags(job, vehicle)
        check_values(job, vehicle, tables)
        check_needed(job, vehicle, told)
        check_all(job, vehicle, told)
    except DataError as error:
        return Readiness(job, str(error).removeprefix(f"vehicle {vehicle.id}: "))
    except ReadingError as error:
        return Readiness(job, str(error))
    needed = values_of(job, uses(job), frozenset(vehicle.tags))
    lacking = tuple(name for name in needed if name not in vehicle.values and name not in told)
    notes = tuple(name for name in job.notes if name not in vehicle.notes or not vehicle.notes[name].say.strip())
    return Readiness(job, "", lacking, notes)
