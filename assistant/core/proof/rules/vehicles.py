"""Rules of vehicles, and of what jobs want of them."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.base import names_in
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import ReadingError
from assistant.core.job.vehicle_values import check_all, wrong_values
from assistant.core.proof.rules.names import names_that_count, worked_from
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity
from assistant.core.proof.rules.ways import fits


def _id_twice(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    for other in beside.twins:
        yield ("id",), f"{other} has the id {vehicle.id!r} too"


def _tag_twice(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    for job in beside.jobs:
        for group in job.groups:
            held = set(group.tags).intersection(vehicle.tags)
            if len(held) > 1:
                yield ("tags",), f"it has {' and '.join(sorted(held))}, of which {job.id} wants exactly one"


def _no_job_reads(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    for field in ("values", "notes"):
        known = {name for job in beside.jobs for name in getattr(job, field)}
        for name in getattr(vehicle, field):
            if beside.jobs and name not in known:
                yield (field, name), f"no job asks for {name!r}"


def _wrong(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    faults = ((name, why) for job in beside.jobs for name, why in wrong_values(job, vehicle, beside.tables))
    for name, why in dict.fromkeys(faults):
        yield ("values", name, "value"), why


def _not_together(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    told: set[str] = set()
    for job in beside.jobs:
        if any(job.values[name].kind is not vehicle.values[name].value.kind for name in job.values
               if name in vehicle.values):  # fmt: skip
            continue
        try:
            check_all(job, vehicle, {})
        except ReadingError as error:
            if str(error) not in told:
                told.add(str(error))
                yield ("values",), str(error)


def _missing(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    for job in beside.jobs:
        if ways := [group.tags for group in job.groups if not group.of(frozenset(vehicle.tags))]:
            yield ("tags",), f"for {job.id} it needs one of {', '.join(ways[0])}"
            continue
        values, notes = wanted_of(job, vehicle)
        if lacking := [name for name in values if name not in vehicle.values]:
            yield ("values",), f"{job.id} asks for what is missing: {', '.join(lacking)}"
        if lacking := [name for name in notes if name not in vehicle.notes]:
            yield ("notes",), f"{job.id} does without what is missing: {', '.join(lacking)}"


def wanted_of(job: Procedure, vehicle: Vehicle) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the values and notes that a job may want of a vehicle, at the steps that fit it."""
    names: dict[str, None] = {}
    for step in job.steps:
        if fits(job, step, vehicle):
            spoken = (name for text in step.texts() for name in names_in(text))
            names.update(dict.fromkeys(worked_from(job, *spoken)))
            names.update(dict.fromkeys(names_that_count(job, step)))
    return tuple(name for name in job.values if name in names), tuple(name for name in job.notes if name in names)


def _nobody_gives(job: Procedure, beside: Beside) -> Iterator[Found]:
    for field in ("values", "notes"):
        given = {name for vehicle in beside.vehicles for name in getattr(vehicle, field)}
        for name in getattr(job, field):
            if beside.vehicles and name not in given:
                yield (field, name), f"no vehicle's file gives {name!r}"


RULES = (
    Rule("vehicle-twice", Severity.FAULT, "What is told of one vehicle would count for the other.",
         "Give one of them another id.", _id_twice),
    Rule("vehicle-two-ways", Severity.FAULT, "A vehicle is built in one way: steps for the other would be told, too.",
         "Leave the tag out that is not so.", _tag_twice),
    Rule("vehicle-value", Severity.FAULT, "A value that can't be right is a slip, or of another kind or unit.",
         "Look it up again, with its unit.", _wrong),
    Rule("vehicle-not-together", Severity.FAULT, "From values that can't be right together nothing can be worked out.",
         "Look both up again.", _not_together),
    Rule("vehicle-lacks", Severity.WARNING, "What is missing is asked for in the middle of the job.",
         "Look it up, and write it down with its source.", _missing),
    Rule("vehicle-unread", Severity.WARNING, "What no job asks for may be misspelt.",
         "Compare its name with `values` and `notes` of the jobs.", _no_job_reads),
)  # fmt: skip
RULES_OF_JOBS = (
    Rule("value-nobody-gives", Severity.WARNING, "What no vehicle gives is asked for every time.",
         "Write it into a vehicle's file, or mend its name.", _nobody_gives),
)  # fmt: skip
