"""Values of a vehicle, from its file or told by its owner, looked at before a job goes by them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime

from assistant.core.compute.base.calculation import Row
from assistant.core.compute.bolts.stress import plausible, usual_friction
from assistant.core.compute.due.intervals import due_date
from assistant.core.data.procedure import Procedure, Wanted
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job import known
from assistant.core.job.events import JobOpened
from assistant.core.job.limits import of_kind, wrong_value
from assistant.core.job.state import State, opening
from assistant.core.job.worked import answer_of
from assistant.core.quantities.units import Amount, Kind, Value, convert, write_amount

_ANY_TIME = datetime(2026, 1, 1, tzinfo=UTC)
"""Whether a time can be counted on a calendar, or values fit one another, does not depend on the day."""


def check_wanted(value: Value, wanted: Wanted) -> Amount:
    """Return a missing value of the vehicle as its owner told it; ReadingError where it can't be right."""
    if isinstance(value, Amount) and value.kind is not wanted.kind:
        raise ReadingError(
            f"{write_amount(value)} is a {value.kind}, and a {wanted.kind} is needed, {_bounds(wanted)}",
            say=wrong_value(wanted.kind).say,
        )
    given = of_kind(value, wanted.kind)
    least, most = (convert(bound, given.unit).magnitude for bound in (wanted.least, wanted.most))
    if not least <= given.magnitude <= most:
        raise ReadingError(
            f"{wanted.name}: {write_amount(given)} is outside {write_amount(wanted.least)} to "
            f"{write_amount(wanted.most)}",
            say=f"That can't be the {wanted.name}. {wanted.find}",
        )
    if given.kind is Kind.DURATION:
        due_date(_ANY_TIME.date(), given)  # refuses a time that can't be counted on a calendar
    return given


def _bounds(wanted: Wanted) -> str:
    return f"from {write_amount(wanted.least)} to {write_amount(wanted.most)}"


def check_told(state: State, name: str, value: Value) -> Amount:
    """Return a missing value as its owner told it; ReadingError where it can't be right, alone or beside the others."""
    given = check_wanted(value, state.procedure.values[name])
    told = {**state.told, name: Spec(value=given, source="told by the owner")}
    try:
        check_together(replace(state, told=told), name)
    except ReadingError as error:
        needed = [known.needs(state, computed) for computed in state.procedure.computed]
        beside = {one for values in needed if name in values for one in values}
        there = [one for one in state.procedure.values if one in beside - {name} and state.spec(one)]
        ways = " ".join(_other_wrong(state, one) for one in there)
        raise ReadingError(str(error), say=f"{error.say} {ways}".strip()) from error
    return given


def check_together(state: State, name: str) -> None:
    """Raise ReadingError for values from which nothing can be worked out, though each can be right by itself."""
    for other in state.procedure.computed:
        needed = known.needs(state, other)
        if not known.reads(state, other) and name in needed and all(state.spec(one) for one in needed):
            with suppress(known.Missing):
                answer_of(state, other)


def _other_wrong(state: State, name: str) -> str:
    """Return how to put a value right that speaks against the one that is told."""
    called = state.procedure.values[name].name
    if name in state.vehicle.values:
        return f"If the {called} is wrong, put it right in the vehicle's file, and take up the job again."
    return f"Or say: the {called} is wrong."


def opened(procedure: Procedure, vehicle: Vehicle, told: Mapping[str, Spec] | None = None) -> State:
    """Return a job as it begins, on any day: which values it needs, and whether they fit, does not depend on that."""
    return opening(JobOpened(procedure, vehicle, dict(told or {})), _ANY_TIME)


def check_all(procedure: Procedure, vehicle: Vehicle, told: Mapping[str, Spec]) -> None:
    """Raise ReadingError for values of a vehicle, and of its owner, that can't all be right: before a job begins."""
    state = opened(procedure, vehicle, told)
    for name in procedure.values:
        if state.spec(name):
            check_together(state, name)


def check_vehicle(procedure: Procedure, vehicle: Vehicle, tables: Mapping[str, Sequence[Row]]) -> None:
    """Raise `DataError` for a value of a vehicle that can't be right, before a job is begun with it.

    A torque whose thread is told is held against what such a bolt bears: that finds a unit that was mixed up. So is a
    vehicle whose tags leave open which way it is built: steps that differ by it would be left out without a word.
    """
    check_tags(procedure, vehicle)
    check_values(procedure, vehicle, tables)


def check_tags(procedure: Procedure, vehicle: Vehicle) -> None:
    """Raise `DataError` for a vehicle that the job is not for, whose tags leave open which way it is built, or that no
    step fits."""
    if why := procedure.unfit(vehicle):
        raise DataError(f"{procedure.id} is not for {vehicle.id}. {why}")
    for group in procedure.groups:
        if group.of(frozenset(vehicle.tags)) is None:
            few = "exactly one" if len(group.tags) == len(group.options) else "at most one"
            raise DataError(f"vehicle {vehicle.id}: tags: it needs {few} of {', '.join(group.tags)}")
    if not any(step.applies(frozenset(vehicle.tags)) for step in procedure.steps):
        raise DataError(f"vehicle {vehicle.id}: tags: no step of {procedure.id} fits it; compare them with its `when`")


def check_values(procedure: Procedure, vehicle: Vehicle, tables: Mapping[str, Sequence[Row]]) -> None:
    """Raise `DataError` for a value that can't be right by itself, or a torque that its bolt can't bear."""
    for name, why in wrong_values(procedure, vehicle, tables):
        raise DataError(f"vehicle {vehicle.id}: values.{name}: {why}")


def wrong_values(
    procedure: Procedure, vehicle: Vehicle, tables: Mapping[str, Sequence[Row]]
) -> Iterator[tuple[str, str]]:
    """Yield the name of each value of a vehicle that can't be right, and why, with where to find the right one."""
    for name, spec in vehicle.values.items():
        wanted = procedure.values.get(name)
        try:
            if wanted:
                check_wanted(spec.value, wanted)
            if spec.thread:
                threads, classes = tables["threads"], tables["property-classes"]
                plausible(spec.value, spec.thread, spec.strength, usual_friction(), threads, classes)
        except ReadingError as error:
            told = str(error)
            allowed = (
                f", and it has to be {_bounds(wanted)}"
                if wanted and f"{write_amount(wanted.least)} to " not in told
                else ""
            )
            yield name, f"{told}{allowed}. {wanted.find if wanted else ''}".strip()


def check_needed(procedure: Procedure, vehicle: Vehicle, told: Mapping[str, Spec]) -> None:
    """Raise `DataError` where a value is missing without which a job must not begin; it says where to find it."""
    for name, wanted in procedure.values.items():
        if wanted.needed and name not in vehicle.values and name not in told:
            raise DataError(
                f"vehicle {vehicle.id}: values.{name} is missing, and {procedure.id} does not begin without it: "
                f"{wanted.name}. {wanted.find} Write it into the vehicle's file, with where it is from.",
                say=f"I need the {wanted.name} before we begin. {wanted.find}",
            )
