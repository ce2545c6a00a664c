"""In which units an owner asks for amounts and is told them, and to what they are rounded for a person."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_OWNER: dict[str, dict[Kind, str]] = {
    "metric": {Kind.TORQUE: "newton_metre", Kind.VOLUME: "litre", Kind.MASS: "kilogram", Kind.DISTANCE: "kilometre",
               Kind.LENGTH: "millimetre", Kind.TEMPERATURE: "degree_Celsius", Kind.PRESSURE: "bar"},
    "imperial": {Kind.TORQUE: "foot_pound", Kind.VOLUME: "imperial_pint", Kind.MASS: "kilogram", Kind.DISTANCE: "mile",
                 Kind.LENGTH: "inch", Kind.TEMPERATURE: "degree_Celsius", Kind.PRESSURE: "psi"},
    "us": {Kind.TORQUE: "foot_pound", Kind.VOLUME: "US_quart", Kind.MASS: "pound", Kind.DISTANCE: "mile",
           Kind.LENGTH: "inch", Kind.TEMPERATURE: "degree_Fahrenheit", Kind.PRESSURE: "psi"},
}  # fmt: skip

_STEP = {
    "litre": "0.1", "millilitre": "50", "US_quart": "0.1", "imperial_pint": "0.1", "kilogram": "1", "pound": "1",
    "kilometre": "1", "mile": "1", "bar": "0.1", "psi": "1",
    "volt": "0.01", "gram_per_millilitre": "0.001",
}  # fmt: skip
"""To what a converted amount is rounded for a person: what their tools can show. Common practice, no source."""

_TORQUE_STEPS = (Decimal(1), Decimal("0.5"), Decimal("0.1"))
_TORQUE_ERROR = Decimal("0.04")
"""A torque is rounded to the coarsest of these steps that keeps within this share of it.

It is what a wrench itself may be off (ISO 6789 class A), so the rounded torque still agrees with the exact one."""

_SPOKEN_PLACES = 3
"""No maker prints more decimals, so an amount with more was computed, and is rounded before a person gets it."""


def owner_unit(kind: Kind, system: str) -> str:
    """Return the unit in which an owner of that system asks for a kind; durations in months, angles in degrees.

    `system` is `metric`, `imperial` (as in Britain) or `us`; ReadingError for another.
    """
    if system not in _OWNER:
        raise ReadingError(
            f"the system of units {system!r} is not known: choose {', '.join(_OWNER)}",
            say="I do not know that system of units. Choose metric, imperial or us.",
        )
    return _OWNER[system].get(kind) or {Kind.DURATION: "month", Kind.ANGLE: "degree_of_arc"}.get(kind, "one")


def for_owner(value: Amount, system: str) -> Amount:
    """Return an amount in the owner's unit, rounded to what a tool can show.

    One that is in that unit already stays as it was told or printed: it is rounded only where it has more
    than three decimals, for then it was computed.
    """
    owner_unit(value.kind, system)  # refuses a system that is not known
    unit = _OWNER[system].get(value.kind, value.unit)  # volts and shares are the same everywhere
    if unit == value.unit and value.magnitude == round(value.magnitude, _SPOKEN_PLACES):
        return value
    return rounded_in(value, unit)


def rounded_in(value: Amount, unit: str) -> Amount:
    """Return an amount in another unit of its kind, rounded to what a tool can show."""
    converted = convert(value, unit)
    step = _step(converted)
    return Amount((converted.magnitude / step).quantize(Decimal(1)) * step, unit, value.kind)


def _step(value: Amount) -> Decimal:
    if value.kind is not Kind.TORQUE:
        return Decimal(_STEP.get(value.unit, "0.1"))
    allowed = abs(value.magnitude) * _TORQUE_ERROR
    return next((step for step in _TORQUE_STEPS if step / 2 <= allowed), _TORQUE_STEPS[-1])


IN_UNITS = {
    "in-newton-metres": "newton_metre",
    "in-foot-pounds": "foot_pound",
    "in-litres": "litre",
    "in-quarts": "US_quart",
}
"""Questions for another unit, and which; a quart is an American one, unless the owner's system is the imperial one."""
