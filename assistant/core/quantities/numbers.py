"""Spoken amounts to exact values: a number with its unit, an angle, or what a slot of a phrase asks for."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.levels import level_of
from assistant.core.quantities.number_words import DIGITS, PARTS, SMALL, no_number, number_of
from assistant.core.quantities.units import Amount, Kind, Value, checked, kind_of

_UNITS = {
    "litre": "litre", "liter": "litre", "millilitre": "millilitre", "milliliter": "millilitre", "mil": "millilitre",
    "newton metre": "newton_metre", "newton meter": "newton_metre", "newton": "newton",
    "foot pound": "foot_pound", "pound foot": "foot_pound", "pound feet": "foot_pound", "inch pound": "inch_pound",
    "pound inche": "inch_pound", "kilogram": "kilogram", "kilo": "kilogram", "tonne": "tonne", "pound": "pound",
    "kilometre": "kilometre", "kilometer": "kilometre", "mile": "mile", "millimetre": "millimetre",
    "millimeter": "millimetre", "inch": "inch", "inche": "inch",
    "metre": "metre", "meter": "metre", "foot": "foot", "feet": "foot", "percent": "percent", "per cent": "percent",
    "volt": "volt", "amp": "ampere", "ampere": "ampere", "month": "month", "year": "year", "minute": "minute",
    "second": "second", "hour": "hour", "day": "day", "centimetre": "centimetre", "centimeter": "centimetre",
    "degrees celsius": "degree_Celsius", "degrees fahrenheit": "degree_Fahrenheit", "kilopascal": "kilopascal",
    "bar": "bar", "p s i": "psi", "pounds per square inch": "psi",
}  # fmt: skip

_REGIONAL = {
    "quart": {"us": "US_quart", "imperial": "imperial_quart"},
    "pint": {"us": "US_pint", "imperial": "imperial_pint"},
    "gallon": {"us": "US_gallon", "imperial": "imperial_gallon"},
    "ton": {"metric": "tonne", "us": "pound"},
    "degree": {"metric": "degree_Celsius", "imperial": "degree_Celsius", "us": "degree_Fahrenheit"},
}
"""Units that mean different things in different places: the owner's system decides, or they are refused."""
_SHORT_TON = 2000
"""Pounds in a ton of the United States (NIST Handbook 44, appendix C)."""


def _split_unit(words: list[str]) -> tuple[list[str], str]:
    """Return the words of the number, and those of the unit in the singular."""
    known = {*DIGITS, *SMALL, *PARTS, "oh", "a", "and", "of", "point", "hundred", "thousand"}
    place = len(words)
    while place and words[place - 1] not in known:
        place -= 1
    number, unit = words[:place], " ".join(words[place:]).removeprefix("an ")
    while number and number[-1] in ("a", "of"):
        number.pop()
    return number, unit if unit in _UNITS or unit in _REGIONAL else unit.removesuffix("s")


def quantity_of(words: str, system: str) -> Amount:
    """Return the amount that words name, in the owner's system where a unit has several meanings.

    A number without a unit is a count. ReadingError for a unit that is ambiguous for this owner.
    """
    bare = words.removeprefix("minus ")
    number, unit = _split_unit(bare.split())
    exact = number_of(number)
    magnitude = Decimal(exact.numerator) / Decimal(exact.denominator) * (1 if bare == words else -1)
    if magnitude < 0 and not unit.startswith("degree"):
        raise no_number(words.split())
    if not unit:
        return Amount(magnitude, "one", Kind.COUNT)
    if unit in _REGIONAL:
        canonical = _REGIONAL[unit].get(str(system))
        if not canonical:
            raise ReadingError(f"a {unit} is not the same everywhere", say=f"Which {unit}? Say it in another unit.")
        magnitude *= _SHORT_TON if (unit, canonical) == ("ton", "pound") else 1
    elif unit in _UNITS:
        canonical = _UNITS[unit]
    else:
        raise ReadingError(f"the unit {unit!r} is not known", say=f"I do not know the unit {unit}.")
    return checked(Amount(magnitude, canonical, kind_of(canonical)), words, None)


_OF_ARC = {"degree": "degree_of_arc", "turn": "turn"}


def angle_of(words: str) -> Amount:
    """Return the angle that words name, in degrees of arc or in turns."""
    number, unit = _split_unit(words.split())
    canonical = _OF_ARC.get(unit.removesuffix("s"))
    if not canonical:
        raise ReadingError(f"{words!r} is no angle", say="Say the angle, for instance: sixty degrees.")
    exact = number_of(number)
    magnitude = Decimal(exact.numerator) / Decimal(exact.denominator)
    return checked(Amount(magnitude, canonical, Kind.ANGLE), words, None)


def value_of(slot: str, words: str, system: str) -> Value:
    """Return the value of a slot of a phrase: a dipstick reading, an angle, or another amount."""
    if slot == "angle":
        return angle_of(words)
    return level_of(words) if slot == "level" else quantity_of(words, system)


def meaning_of(slot: str | None, words: str) -> object:
    """Return what tells one value from another: its exact value, or the words where they name none.

    Any place will do for units that mean different things in different places: one meaning stays one.
    """
    for system in ("us", "metric") if words else ():
        try:
            return value_of(slot or "", words, system)
        except ReadingError:
            continue
    return words
