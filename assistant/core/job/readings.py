"""Whether a value that was said can be right, here and now. What cannot be is refused with what is allowed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

from assistant.core.compute.base.calculation import Row
from assistant.core.compute.bolts import torque
from assistant.core.compute.bolts.stress import plausible, usual_friction
from assistant.core.compute.due.intervals import due_date
from assistant.core.data.gate import Ask
from assistant.core.data.measured import Bound
from assistant.core.data.procedure import Part, Procedure, Reading, Spec, Vehicle, Wanted
from assistant.core.errors import DataError, ReadingError, TooLittle
from assistant.core.job import known as facts
from assistant.core.job.bands import limit
from assistant.core.job.events import JobOpened
from assistant.core.job.filling import most_to_pour
from assistant.core.job.state import State, opening
from assistant.core.job.wording import say_for_owner
from assistant.core.job.worked import answer_of
from assistant.core.quantities.units import Amount, Kind, Level, Value, amount, convert, owner_unit, write_amount

LONGEST_DISTANCE = Amount(Decimal(2_000_000), "kilometre", Kind.DISTANCE)
"""No vehicle shows more. Common practice, no source."""

_ANY_TIME = datetime(2026, 1, 1, tzinfo=UTC)
"""Whether a time can be counted on a calendar, or values fit one another, does not depend on the day."""

_EXAMPLES = {
    Kind.TORQUE: "a torque, with its unit",
    Kind.VOLUME: "an amount{of}, with its unit",
    Kind.DISTANCE: "a distance, with its unit",
    Kind.MASS: "a weight, with its unit",
    Kind.COUNT: "a number",
    Kind.DURATION: "a time, in months",
    Kind.LENGTH: "a length, with its unit",
}


def wrong_value(kind: Kind | None, of: str = "", gauge: str = "") -> ReadingError:
    """Return the refusal of a value of the wrong kind or without a unit.

    Without a kind a level is needed. `of` is the name of the fluid, and `gauge` that of what it is read from.
    """
    if kind is None:
        name = gauge.removeprefix("the ").removesuffix("level").strip()
        return ReadingError(
            "a reading between two marks is needed",
            say=f"Say the {f'{name} level'.strip()}, for instance: near low.",
        )
    example = _EXAMPLES.get(kind, f"a {kind}, with its unit").format(of=f" of {of}" if of else "")
    return ReadingError(f"a value of the kind {kind} is needed", say=f"I need {example}.")


def _of_kind(value: Value, kind: Kind, of: str = "") -> Amount:
    if not isinstance(value, Amount) or value.kind is not kind:
        raise wrong_value(kind, of)
    if not value.magnitude.is_finite() or (value.magnitude < 0 and kind is not Kind.TEMPERATURE):
        raise ReadingError(
            f"{write_amount(value)} is less than nothing", say="That can't be less than nothing. Read it again."
        )
    return value


def _within(state: State, value: Amount, least: Amount, most: Amount) -> Amount:
    if not (convert(least, value.unit).magnitude <= value.magnitude <= convert(most, value.unit).magnitude):
        heard, low, high = (say_for_owner(state, each) for each in (value, least, most))
        raise ReadingError(
            f"{value.magnitude} {value.unit} is outside {least.magnitude} to {most.magnitude} {most.unit}",
            say=f"I heard {heard}. Allowed: {low} to {high}. Say it again.",
        )
    return value


def check_wanted(value: Value, wanted: Wanted) -> Amount:
    """Return a missing value of the vehicle as its owner told it; ReadingError where it can't be right."""
    if isinstance(value, Amount) and value.kind is not wanted.kind:
        raise ReadingError(
            f"{write_amount(value)} is a {value.kind}, and a {wanted.kind} is needed, {_bounds(wanted)}",
            say=wrong_value(wanted.kind).say,
        )
    given = _of_kind(value, wanted.kind)
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
        needed = [facts.needs(state, computed) for computed in state.procedure.computed]
        beside = {one for values in needed if name in values for one in values}
        known = [one for one in state.procedure.values if one in beside - {name} and state.spec(one)]
        ways = " ".join(_other_wrong(state, one) for one in known)
        raise ReadingError(str(error), say=f"{error.say} {ways}".strip()) from error
    return given


def check_together(state: State, name: str) -> None:
    """Raise ReadingError for values from which nothing can be worked out, though each can be right by itself."""
    for other in state.procedure.computed:
        needed = facts.needs(state, other)
        if not facts.reads(state, other) and name in needed and all(state.spec(one) for one in needed):
            with suppress(facts.Missing):
                answer_of(state, other)


def _other_wrong(state: State, name: str) -> str:
    """Return how to put a value right that speaks against the one that is told."""
    called = state.procedure.values[name].name
    if name in state.vehicle.values:
        return f"If the {called} is wrong, put it right in the vehicle's file, and take up the job again."
    return f"Or say: the {called} is wrong."


def check_all(procedure: Procedure, vehicle: Vehicle, told: Mapping[str, Spec]) -> None:
    """Raise ReadingError for values of a vehicle, and of its owner, that can't all be right: before a job begins."""
    state = opening(JobOpened(procedure, vehicle, dict(told)), _ANY_TIME)
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


def check_reading(state: State, reading: Reading, value: Value) -> Value:
    """Return what was read off, if the procedure and the vehicle allow it; ReadingError otherwise."""
    fluid = state.procedure.fluids.get(reading.of or "")
    if reading.kind == "level":
        if not isinstance(value, Level):
            raise wrong_value(None, gauge=fluid.gauge if fluid else "")
        return value
    given = _of_kind(value, Kind(reading.kind), fluid.name if fluid else "")
    unit = owner_unit(given.kind, state.vehicle.units)
    if fluid and (reading.adds or reading.removes):
        given = _within(state, given, Amount(Decimal(0), unit, given.kind), most_to_pour(state, reading))
    elif given.kind is Kind.DISTANCE and reading.least is None and reading.most is None:
        given = _within(state, given, Amount(Decimal(1), unit, given.kind), LONGEST_DISTANCE)
    return _between(state, reading, given)


def _between(state: State, reading: Reading, given: Amount) -> Amount:
    """Return what was read off, if it lies between the limits of the reading, as far as these are known."""
    if given.kind is Kind.COUNT and given.magnitude % 1:
        raise ReadingError(f"{reading.name}: {given.magnitude} can't be counted", say=WHOLE)
    least, most = (_limit(state, bound, given) for bound in (reading.least, reading.most))
    if least is not None and most is not None:
        return _within(state, given, least, most)
    if (least is not None and given.magnitude < least.magnitude) or (most and given.magnitude > most.magnitude):
        heard, bound = (say_for_owner(state, each) for each in (given, least or most) if each)
        raise ReadingError(
            f"{reading.name}: {write_amount(given)} is {'below the least' if least else 'above the most'}",
            say=f"I heard {heard}. Allowed: {bound} at {'least' if least else 'most'}. Say it again.",
        )
    return given


def _limit(state: State, bound: Bound | None, given: Amount) -> Amount | None:
    """Return a limit in the unit of what was given; None where there is none, or nobody knows it."""
    if bound is None:
        return None
    try:
        return Amount(limit(state, bound, given.unit), given.unit, given.kind)
    except facts.Missing:
        return None


def check_torque(state: State, value: Value) -> tuple[Part, Amount]:
    """Return the part at hand and the torque given, if it agrees with the vehicle's; ReadingError otherwise."""
    tighten = state.here.tighten
    assert tighten
    part = state.procedure.part(tighten.part)
    given = _of_kind(value, Kind.TORQUE)
    if part.torque in state.unknown:  # the owner does not know it: then nothing is held against it
        return part, check_wanted(given, state.procedure.values[part.torque])
    wanted = facts.value(state, part.torque or "")
    if not torque.agrees(given, wanted):
        heard, right = say_for_owner(state, given), say_for_owner(state, wanted)
        raise ReadingError(
            f"{part.name}: {given.magnitude} {given.unit} where {wanted.magnitude} {wanted.unit} is wanted",
            say=f"I heard {heard}. It must be {right}. Check the wrench.",
        )
    return part, given


def check_evidence(state: State, ask: Ask, value: Value) -> Amount:
    """Return the number that answers a challenge, if it is enough and can be; ReadingError otherwise."""
    assert ask.kind
    given = _of_kind(value, ask.kind)
    if given.kind is Kind.COUNT and given.magnitude % 1:
        raise ReadingError(f"{ask.id}: {given.magnitude} can't be counted", say=WHOLE)
    least, most = (_bound(state, bound, given) for bound in bounds_of(ask))
    if given.magnitude < least:
        message = f"{ask.id}: {given.magnitude} {given.unit} is too little"
        raise TooLittle(message, say=ask.too_little)
    if given.magnitude > most:
        raise ReadingError(f"{ask.id}: {given.magnitude} {given.unit} is too much to be right", say=ask.too_much)
    return given


WHOLE = "Say a whole number. Count again."


def bounds_of(ask: Ask) -> tuple[Bound, Bound]:
    """Return the least and the most that a challenge takes: the same where it has to be met exactly."""
    if ask.equal is not None:
        return ask.equal, ask.equal
    assert ask.least is not None and ask.most is not None
    return ask.least, ask.most


def _bound(state: State, bound: Bound, given: Amount) -> Decimal:
    """Return a bound of an ask, in the unit of what was given: a number, an amount, or the name of a value."""
    if isinstance(bound, int):
        return Decimal(bound)
    return convert(facts.named_or_written(state, bound), given.unit).magnitude


_TOOL_LENGTHS = {"wrench": ("50 mm", "2 m"), "adapter": ("0 mm", "1 m")}
"""Lengths that a wrench, and a crow-foot or another adapter, can have. Common practice, no source."""


def check_tool(tool: str, value: Value | None) -> Amount:
    """Return the length of the wrench or of its adapter; ReadingError where it can't be one."""
    if value is None:
        raise wrong_value(Kind.LENGTH)
    given = _of_kind(value, Kind.LENGTH)
    least, most = (amount(bound) for bound in _TOOL_LENGTHS[tool])
    if not convert(least, given.unit).magnitude <= given.magnitude <= convert(most, given.unit).magnitude:
        raise ReadingError(
            f"{tool}: {write_amount(given)} is outside {write_amount(least)} to {write_amount(most)}",
            say=f"No {tool} is that long. Measure it again.",
        )
    return given
