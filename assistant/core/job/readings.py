"""Whether a value that was said can be right, here and now. What cannot be is refused with what is allowed."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.bolts import torque
from assistant.core.data.gate import Ask
from assistant.core.data.measured import Bound
from assistant.core.data.part import Part
from assistant.core.data.step import Reading
from assistant.core.errors import ReadingError, TooLittle
from assistant.core.job import known
from assistant.core.job.bands import limit_of
from assistant.core.job.filling import most_to_pour
from assistant.core.job.limits import of_kind, within, wrong_value
from assistant.core.job.state import State
from assistant.core.job.vehicle_values import check_wanted
from assistant.core.job.wording import say_for_owner
from assistant.core.quantities.owner_units import owner_unit
from assistant.core.quantities.units import Amount, Kind, Level, Value, amount, convert, write_amount

LONGEST_DISTANCE = Amount(Decimal(2_000_000), "kilometre", Kind.DISTANCE)
"""No vehicle shows more. Common practice, no source."""


def check_reading(state: State, reading: Reading, value: Value) -> Value:
    """Return what was read off, if the procedure and the vehicle allow it; ReadingError otherwise."""
    fluid = state.procedure.fluids.get(reading.of or "")
    if reading.kind == "level":
        if not isinstance(value, Level):
            raise wrong_value(None, gauge=fluid.gauge if fluid else "")
        return value
    given = of_kind(value, Kind(reading.kind), fluid.name if fluid else "")
    if usual := usual_bounds(state, reading):
        given = within(state, given, *usual)
    return _between(state, reading, given)


def usual_bounds(state: State, reading: Reading) -> tuple[Amount, Amount] | None:
    """Return between what every reading of its sort lies, beside its own limits; None where that is not known.

    A fluid can't be less than nothing nor more than there may be; a distance without limits is one of a vehicle.
    """
    if reading.of in state.procedure.fluids and (reading.adds or reading.removes):
        return Amount(Decimal(0), owner_unit(Kind.VOLUME, state.vehicle.units), Kind.VOLUME), most_to_pour(
            state, reading
        )
    if reading.kind == Kind.DISTANCE and reading.least is None and reading.most is None:
        return Amount(Decimal(1), owner_unit(Kind.DISTANCE, state.vehicle.units), Kind.DISTANCE), LONGEST_DISTANCE
    return None


def _between(state: State, reading: Reading, given: Amount) -> Amount:
    """Return what was read off, if it lies between the limits of the reading, as far as these are known."""
    if given.kind is Kind.COUNT and given.magnitude % 1:
        raise ReadingError(f"{reading.name}: {given.magnitude} can't be counted", say=WHOLE)
    least, most = (limit_of(state, bound, given.unit, given.kind) for bound in (reading.least, reading.most))
    if least is not None and most is not None:
        return within(state, given, least, most)
    if (least is not None and given.magnitude < least.magnitude) or (most and given.magnitude > most.magnitude):
        heard, bound = (say_for_owner(state, each) for each in (given, least or most) if each)
        raise ReadingError(
            f"{reading.name}: {write_amount(given)} is {'below the least' if least else 'above the most'}",
            say=f"I heard {heard}. Allowed: {bound} at {'least' if least else 'most'}. Say it again.",
        )
    return given


def check_torque(state: State, value: Value) -> tuple[Part, Amount]:
    """Return the part at hand and the torque given, if it agrees with the vehicle's; ReadingError otherwise."""
    tighten = state.here.tighten
    assert tighten
    part = state.procedure.part(tighten.part)
    given = of_kind(value, Kind.TORQUE)
    if part.torque in state.unknown:  # the owner does not know it: then nothing is held against it
        return part, check_wanted(given, state.procedure.values[part.torque])
    wanted = known.value(state, part.torque or "")
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
    given = of_kind(value, ask.kind)
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
    return convert(known.named_or_written(state, bound), given.unit).magnitude


TOOL_LENGTHS = {"wrench": ("50 mm", "2 m"), "adapter": ("0 mm", "1 m")}
"""Lengths that a wrench, and a crow-foot or another adapter, can have. Common practice, no source."""


def check_tool(tool: str, value: Value | None) -> Amount:
    """Return the length of the wrench or of its adapter; ReadingError where it can't be one."""
    if value is None:
        raise wrong_value(Kind.LENGTH)
    given = of_kind(value, Kind.LENGTH)
    least, most = (amount(bound) for bound in TOOL_LENGTHS[tool])
    if not convert(least, given.unit).magnitude <= given.magnitude <= convert(most, given.unit).magnitude:
        raise ReadingError(
            f"{tool}: {write_amount(given)} is outside {write_amount(least)} to {write_amount(most)}",
            say=f"No {tool} is that long. Measure it again.",
        )
    return given
