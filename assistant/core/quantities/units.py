"""The one pint registry, the kinds that units alone do not tell apart, and exact amounts. Never guesses a unit.

Torque is not energy, though both are newton times metre; so an amount carries its kind, and only
amounts of one kind are compared or converted. Magnitudes are decimals: what was said is kept exactly.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal, InvalidOperation
from enum import StrEnum
from functools import cache, lru_cache

from pint import DimensionalityError, UnitRegistry

from assistant.core.errors import ReadingError
from assistant.core.quantities.unit_definitions import DEFINITIONS
from assistant.core.quantities.unit_symbols import AMBIGUOUS, EXAMPLES, WRITTEN, near_units


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
    SHARE = "share"
    ANGLE = "angle"
    SPEED = "speed"
    FORCE = "force"
    AREA = "area"
    DENSITY = "density"
    VISCOSITY = "viscosity"
    VOLTAGE = "voltage"
    CURRENT = "current"
    CHARGE = "charge"
    CONSUMPTION = "consumption"
    TEMPERATURE_DIFFERENCE = "difference of temperatures"


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
    **dict.fromkeys(
        ("newton_metre", "foot_pound", "inch_pound", "kilogram_force_metre", "kilogram_force_centimetre"), Kind.TORQUE
    ),
    **dict.fromkeys(
        ("litre", "decilitre", "centilitre", "millilitre", "US_quart", "US_pint", "US_gallon", "imperial_quart",
         "imperial_pint", "imperial_gallon", "US_fluid_ounce"),
        Kind.VOLUME,
    ),
    **dict.fromkeys(("kilogram", "gram", "tonne", "pound"), Kind.MASS),
    **dict.fromkeys(("kilometre", "mile"), Kind.DISTANCE),
    **dict.fromkeys(("millimetre", "centimetre", "metre", "micrometre", "inch", "foot", "thou"), Kind.LENGTH),
    **dict.fromkeys(("second", "minute", "hour", "day", "month", "year"), Kind.DURATION),
    **dict.fromkeys(("degree_Celsius", "degree_Fahrenheit"), Kind.TEMPERATURE),
    **dict.fromkeys(("kilopascal", "megapascal", "bar", "psi"), Kind.PRESSURE),
    "one": Kind.COUNT,
    "percent": Kind.SHARE,
    **dict.fromkeys(("degree_of_arc", "turn"), Kind.ANGLE),
    **dict.fromkeys(("kilometre_per_hour", "mile_per_hour"), Kind.SPEED),
    **dict.fromkeys(("newton", "kilonewton", "pound_force"), Kind.FORCE),
    **dict.fromkeys(("square_millimetre", "square_centimetre", "square_inch"), Kind.AREA),
    **dict.fromkeys(("kilogram_per_cubic_metre", "gram_per_millilitre"), Kind.DENSITY),
    "square_millimetre_per_second": Kind.VISCOSITY,
    **dict.fromkeys(("volt", "millivolt"), Kind.VOLTAGE),
    "ampere": Kind.CURRENT,
    "milliampere": Kind.CURRENT,
    "ampere_hour": Kind.CHARGE,
    **dict.fromkeys(("litre_per_1000_kilometre", "US_quart_per_1000_mile"), Kind.CONSUMPTION),
    **dict.fromkeys(("kelvin", "Fahrenheit_degree"), Kind.TEMPERATURE_DIFFERENCE),
}  # fmt: skip
"""The canonical units, each of one kind."""

SYMBOLS: dict[str, str] = {unit: symbol for symbol, unit in reversed(WRITTEN.items())}
"""The symbol of each canonical unit, for files and for the eye."""

_KEPT = Context(prec=24)
"""Digits kept of a conversion: it is exact where 24 digits can hold it, and a third of a unit is cut there."""


@cache
def _registry() -> UnitRegistry[Decimal]:
    registry: UnitRegistry[Decimal] = UnitRegistry(None, non_int_type=Decimal)
    registry.load_definitions(DEFINITIONS.strip().splitlines())
    return registry


def kind_of(unit: str) -> Kind:
    """Return the kind of a canonical unit; ReadingError for a unit that is not known."""
    if unit not in _KIND_OF:
        raise ReadingError(f"the unit {unit!r} is not known", say=f"I do not know the unit {unit}.")
    return _KIND_OF[unit]


def convert(value: Amount, unit: str) -> Amount:
    """Return the same amount in another unit of its kind, exact to 24 digits.

    ReadingError for another kind, and between months or years and durations of a fixed length.
    """
    if kind_of(unit) is not value.kind:
        raise ReadingError(
            f"{value.magnitude} {value.unit} is a {value.kind}, which can't be given in {unit}",
            say=f"That is a {value.kind}, and I need a {kind_of(unit)}.",
        )
    return value if unit == value.unit else _converted(value, unit)


@lru_cache(maxsize=4096)
def _converted(value: Amount, unit: str) -> Amount:
    """Return an amount in another unit of its kind. The limits of a job are converted again in each of its states."""
    try:
        exact = Decimal(_registry().Quantity(value.magnitude, value.unit).to(unit).magnitude)
    except DimensionalityError as error:
        raise ReadingError(
            f"{value.magnitude} {value.unit} can't be given in {unit}: months and years differ in length",
            say="Months differ in length. Say it in months or years.",
        ) from error
    return Amount(Decimal(f"{_KEPT.create_decimal(exact).normalize(_KEPT):f}"), unit, value.kind)


_TEXT = re.compile(r"(?P<number>[+-]?[0-9.,]+(?:[eE][+-]?[0-9]+)?)? *(?P<unit>.*)")
_LARGEST = Decimal(10) ** 9
_MOST_PLACES = 30
_COLDEST = {"degree_Celsius": Decimal("-273.15"), "degree_Fahrenheit": Decimal("-459.67")}
"""Absolute zero, exact by the definition of the scales."""


@lru_cache(maxsize=1024)
def amount(text: str, kind: Kind | None = None) -> Amount:
    """Return an amount as files write it, for instance `25 N·m`; ReadingError says what is wrong with it.

    What people write is read by `amounts.reader`. The kind is that of the unit; `kind` says which one is needed. A
    bare number is a count where a count is needed.
    """
    found = _TEXT.fullmatch(" ".join(text.split()))
    number, written = (found["number"], found["unit"]) if found else (None, text)
    if not written and kind is Kind.COUNT:
        written = "×"
    if not written:
        raise unreadable(f"{text!r} has no unit", kind)
    if number is None:
        raise unreadable(f"{text!r} does not begin with a number", kind)
    if written in AMBIGUOUS:
        raise unreadable(f"{text!r} could mean two things: write {AMBIGUOUS[written]}", kind)
    if written not in WRITTEN:
        raise unknown_unit(text, written, kind)
    return checked(Amount(_decimal(number, text, kind), WRITTEN[written], _KIND_OF[WRITTEN[written]]), text, kind)


def example_of(kind: Kind | None) -> str:
    """Return an amount of a kind as a person may write it."""
    return EXAMPLES[str(kind or Kind.TORQUE)]


def unreadable(message: str, kind: Kind | None, say: str = "") -> ReadingError:
    """Return the refusal of what is no amount, with an example of the kind that is needed."""
    needed = f"a {kind}" if kind else "an amount with its unit"
    return ReadingError(
        f"{message}. Write {needed}, for instance '{example_of(kind)}'",
        say=say or "I can't read an amount there. Write a number and its unit.",
    )


def unknown_unit(text: str, written: str, kind: Kind | None) -> ReadingError:
    """Return the refusal of a unit that is not known, with at most five that are, those most like it first."""
    symbols = [symbol for unit, symbol in reversed(SYMBOLS.items()) if kind in (None, _KIND_OF[unit])]
    near = ", ".join(near_units(written, symbols))
    return unreadable(f"{text!r}: the unit {written!r} is not known; near to it, or allowed: {near}", kind)


def checked(value: Amount, text: str, kind: Kind | None) -> Amount:
    """Return an amount that was read, if it is of the kind that is needed and can be; ReadingError otherwise."""
    if kind is not None and value.kind is not kind:
        raise ReadingError(
            f"{text!r} is a {value.kind}, and a {kind} is needed, for instance '{example_of(kind)}'",
            say=f"That is a {value.kind}, and I need a {kind}.",
        )
    if abs(value.magnitude) > _LARGEST or int(value.magnitude.as_tuple().exponent) < -_MOST_PLACES:
        raise unreadable(f"{text!r} is too large, or has too many decimals: nothing on a car is measured so", kind)
    if value.unit in _COLDEST and value.magnitude < _COLDEST[value.unit]:
        coldest = write_amount(Amount(_COLDEST[value.unit], value.unit, value.kind))
        raise unreadable(
            f"{text!r} is below absolute zero: nothing is colder than {coldest}",
            value.kind,
            "Nothing can be so cold. Read it again.",
        )
    return value


def _decimal(number: str, text: str, kind: Kind | None) -> Decimal:
    try:
        return Decimal(number)
    except InvalidOperation as error:
        raise unreadable(f"{text!r}: {number!r} is not a number: write it with a decimal point", kind) from error


def write_amount(value: Amount) -> str:
    """Return an amount as files write it; `amount` reads it back to the same."""
    return f"{value.magnitude} {SYMBOLS[value.unit]}"
