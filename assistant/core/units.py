"""The one pint registry, the kinds that units alone do not tell apart, and exact amounts.

Torque is not energy, though both are newton times metre; so an amount carries its kind, and only
amounts of one kind are compared or converted. Magnitudes are decimals: what was said is kept exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache

from pint import UnitRegistry

from assistant.core.errors import ReadingError


class Kind(StrEnum):
    """What an amount is an amount of."""

    TORQUE = "torque"
    VOLUME = "volume"
    MASS = "mass"
    DISTANCE = "distance"
    LENGTH = "length"
    DURATION = "duration"
    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Amount:
    """An exact magnitude with a unit and a kind."""

    magnitude: Decimal
    unit: str
    """A canonical unit name of `UNITS`, for instance `newton_metre`."""
    kind: Kind


@dataclass(frozen=True, slots=True)
class Level:
    """A dipstick reading as an interval of the span between the marks: 0 is low, 1 is full."""

    lowest: Decimal
    highest: Decimal
    said: str


Value = Amount | Level


_KIND_OF: dict[str, Kind] = {
    **dict.fromkeys(("newton_metre", "foot_pound", "inch_pound", "kilogram_force_metre"), Kind.TORQUE),
    **dict.fromkeys(
        ("litre", "millilitre", "US_quart", "US_pint", "US_gallon", "imperial_quart", "imperial_pint",
         "imperial_gallon", "US_fluid_ounce"),
        Kind.VOLUME,
    ),
    **dict.fromkeys(("kilogram", "tonne", "pound"), Kind.MASS),
    **dict.fromkeys(("kilometre", "mile"), Kind.DISTANCE),
    **dict.fromkeys(("millimetre", "centimetre", "inch"), Kind.LENGTH),
    **dict.fromkeys(("second", "minute", "hour", "day", "month", "year"), Kind.DURATION),
    **dict.fromkeys(("degree_Celsius", "degree_Fahrenheit"), Kind.TEMPERATURE),
    **dict.fromkeys(("kilopascal", "bar", "psi"), Kind.PRESSURE),
    "one": Kind.COUNT,
}  # fmt: skip
"""The canonical units, each of one kind."""

_WRITTEN: dict[str, str] = {
    "N·m": "newton_metre", "N*m": "newton_metre", "Nm": "newton_metre", "N m": "newton_metre",
    "lbf·ft": "foot_pound", "lbf*ft": "foot_pound", "lb·ft": "foot_pound", "lb-ft": "foot_pound", "ft-lb": "foot_pound",
    "ft·lbf": "foot_pound", "lbf·in": "inch_pound", "in-lb": "inch_pound", "kgf·m": "kilogram_force_metre",
    "L": "litre", "l": "litre", "mL": "millilitre", "ml": "millilitre", "US qt": "US_quart", "US pt": "US_pint",
    "US gal": "US_gallon", "imp qt": "imperial_quart", "imp pt": "imperial_pint", "imp gal": "imperial_gallon",
    "US fl oz": "US_fluid_ounce", "kg": "kilogram", "t": "tonne", "lb": "pound", "km": "kilometre", "mi": "mile",
    "mm": "millimetre", "cm": "centimetre", "in": "inch", "s": "second", "min": "minute", "h": "hour", "d": "day",
    "days": "day", "month": "month", "months": "month", "year": "year", "years": "year",
    "°C": "degree_Celsius", "°F": "degree_Fahrenheit", "kPa": "kilopascal", "bar": "bar", "psi": "psi", "×": "one",
}  # fmt: skip
"""How files write a unit. The first spelling of each is the one that is written."""

SYMBOLS: dict[str, str] = {unit: symbol for symbol, unit in reversed(_WRITTEN.items())}
"""The symbol of each canonical unit, for files and for the eye."""

_AMBIGUOUS = {"qt": "US qt or imp qt", "quart": "US qt or imp qt", "pt": "US pt or imp pt", "pint": "US pt or imp pt",
              "gal": "US gal or imp gal", "gallon": "US gal or imp gal", "ton": "t or lb"}  # fmt: skip

_IN_PINT = {
    "newton_metre": "newton * meter",
    "foot_pound": "force_pound * foot",
    "inch_pound": "force_pound * inch",
    "kilogram_force_metre": "kilogram_force * meter",
    "US_quart": "quart", "US_pint": "pint", "US_gallon": "gallon", "US_fluid_ounce": "fluid_ounce",
    "imperial_quart": "imperial_quart", "imperial_pint": "imperial_pint", "imperial_gallon": "imperial_gallon",
    "degree_Celsius": "degC", "degree_Fahrenheit": "degF", "tonne": "metric_ton", "litre": "liter",
    "millilitre": "milliliter", "kilometre": "kilometer", "millimetre": "millimeter", "centimetre": "centimeter",
}  # fmt: skip

_OWNER: dict[str, dict[Kind, str]] = {
    "metric": {Kind.TORQUE: "newton_metre", Kind.VOLUME: "litre", Kind.MASS: "kilogram", Kind.DISTANCE: "kilometre",
               Kind.LENGTH: "millimetre", Kind.TEMPERATURE: "degree_Celsius", Kind.PRESSURE: "bar"},
    "imperial": {Kind.TORQUE: "foot_pound", Kind.VOLUME: "imperial_pint", Kind.MASS: "kilogram", Kind.DISTANCE: "mile",
                 Kind.LENGTH: "inch", Kind.TEMPERATURE: "degree_Celsius", Kind.PRESSURE: "psi"},
    "us": {Kind.TORQUE: "foot_pound", Kind.VOLUME: "US_quart", Kind.MASS: "pound", Kind.DISTANCE: "mile",
           Kind.LENGTH: "inch", Kind.TEMPERATURE: "degree_Fahrenheit", Kind.PRESSURE: "psi"},
}  # fmt: skip

_STEP = {
    "newton_metre": "1", "foot_pound": "1", "inch_pound": "1", "litre": "0.1", "millilitre": "50", "US_quart": "0.1",
    "imperial_pint": "0.1", "kilogram": "1", "pound": "1", "kilometre": "1", "mile": "1", "bar": "0.1", "psi": "1",
}  # fmt: skip
"""To what a converted amount is rounded for a person: what their tools can show. Common practice, no source."""


@cache
def _registry() -> UnitRegistry[Decimal]:
    return UnitRegistry(non_int_type=Decimal)


@cache
def _factor(unit: str, target: str) -> Decimal:
    registry = _registry()
    source = registry.Quantity(Decimal(1), _IN_PINT.get(unit, unit))
    return Decimal(source.to(_IN_PINT.get(target, target)).magnitude)


def kind_of(unit: str) -> Kind:
    """Return the kind of a canonical unit; ReadingError for a unit that is not known."""
    if unit not in _KIND_OF:
        raise ReadingError(f"the unit {unit!r} is not known", say=f"I do not know the unit {unit}.")
    return _KIND_OF[unit]


def convert(value: Amount, unit: str) -> Amount:
    """Return the same amount in another unit of its kind, exactly; ReadingError for another kind."""
    if kind_of(unit) is not value.kind:
        raise ReadingError(
            f"{value.magnitude} {value.unit} is a {value.kind}, which can't be given in {unit}",
            say=f"That is a {value.kind}, and I need a {kind_of(unit)}.",
        )
    if unit == value.unit:
        return value
    if value.kind is Kind.TEMPERATURE:
        quantity = _registry().Quantity(value.magnitude, _IN_PINT[value.unit])
        return Amount(Decimal(quantity.to(_IN_PINT[unit]).magnitude), unit, value.kind)
    return Amount(value.magnitude * _factor(value.unit, unit), unit, value.kind)


def owner_unit(kind: Kind, system: str) -> str:
    """Return the unit in which an owner of that system asks for a kind; durations in months, counts in ones."""
    return _OWNER[str(system)].get(kind) or {Kind.DURATION: "month"}.get(kind, "one")


def for_owner(value: Amount, system: str) -> Amount:
    """Return an amount in the owner's unit, rounded to what a tool can show; as it is, where it is in that unit."""
    unit = value.unit if value.kind in (Kind.DURATION, Kind.COUNT) else owner_unit(value.kind, system)
    if unit == value.unit:
        return value
    converted = convert(value, unit)
    step = Decimal(_STEP.get(unit, "0.1"))
    return Amount((converted.magnitude / step).quantize(Decimal(1)) * step, unit, value.kind)


def amount(text: str, kind: Kind | None = None) -> Amount:
    """Return an amount written with its unit, for instance `25 N·m`; ReadingError says what is wrong with it."""
    number, _, written = text.strip().replace("\u202f", " ").replace("\u00a0", " ").partition(" ")
    written = written.strip()
    if not written and kind is Kind.COUNT:
        written = "×"
    if not written:
        raise ReadingError(f"{text!r} has no unit: write it with one, for instance '25 N·m'")
    if written in _AMBIGUOUS:
        raise ReadingError(f"{text!r} could mean two things: write {_AMBIGUOUS[written]}")
    unit = _WRITTEN.get(written)
    if unit is None:
        raise ReadingError(f"{text!r}: the unit {written!r} is not known; known are {', '.join(_WRITTEN)}")
    if kind is not None and _KIND_OF[unit] is not kind:
        raise ReadingError(f"{text!r} is a {_KIND_OF[unit]}, and a {kind} is needed")
    return Amount(_decimal(number, text), unit, _KIND_OF[unit])


def _decimal(number: str, text: str) -> Decimal:
    try:
        value = Decimal(number)
    except InvalidOperation as error:
        raise ReadingError(f"{text!r}: {number!r} is not a number") from error
    if not value.is_finite():
        raise ReadingError(f"{text!r}: {number!r} is not a finite number")
    return value


def write_amount(value: Amount) -> str:
    """Return an amount as files write it; `amount` reads it back to the same."""
    return f"{value.magnitude} {SYMBOLS[value.unit]}"
