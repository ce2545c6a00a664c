"""An answer in one system of units: its values, and the amounts in its words. What was given stays as it was given."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Context, Decimal

from assistant.core.compute.base.calculation import Calculation
from assistant.core.compute.base.result import Answer, Finding, Result
from assistant.core.quantities.units import SYMBOLS, Amount, amount, convert

_METRIC = {
    "foot_pound": "newton_metre", "inch_pound": "newton_metre", "US_quart": "litre", "US_pint": "litre",
    "US_gallon": "litre", "imperial_quart": "litre", "imperial_pint": "litre", "imperial_gallon": "litre",
    "US_fluid_ounce": "millilitre", "pound": "kilogram", "mile": "kilometre", "inch": "millimetre", "foot": "metre",
    "thou": "micrometre", "degree_Fahrenheit": "degree_Celsius", "psi": "bar", "square_inch": "square_millimetre",
    "mile_per_hour": "kilometre_per_hour",
    "pound_force": "newton", "US_quart_per_1000_mile": "litre_per_1000_kilometre", "Fahrenheit_degree": "kelvin",
}  # fmt: skip
_BOTH = {
    "newton_metre": "foot_pound", "kilogram_force_metre": "foot_pound", "kilogram_force_centimetre": "inch_pound",
    "inch_pound": "inch_pound", "kilometre": "mile", "millimetre": "inch", "centimetre": "inch", "metre": "foot",
    "kilopascal": "psi", "bar": "psi", "megapascal": "psi", "square_millimetre": "square_inch",
    "square_centimetre": "square_inch", "kilometre_per_hour": "mile_per_hour",
}  # fmt: skip
_US = _BOTH | {
    "litre": "US_quart", "decilitre": "US_quart", "centilitre": "US_fluid_ounce", "millilitre": "US_fluid_ounce",
    "imperial_quart": "US_quart", "imperial_pint": "US_pint", "imperial_gallon": "US_gallon", "kilogram": "pound",
    "tonne": "pound", "degree_Celsius": "degree_Fahrenheit", "kelvin": "Fahrenheit_degree", "newton": "pound_force",
    "kilonewton": "pound_force", "litre_per_1000_kilometre": "US_quart_per_1000_mile",
}  # fmt: skip
_IMPERIAL = _BOTH | {
    "litre": "imperial_pint", "US_quart": "imperial_quart", "US_pint": "imperial_pint", "US_gallon": "imperial_gallon",
    "US_fluid_ounce": "millilitre", "pound": "kilogram", "degree_Fahrenheit": "degree_Celsius",
    "Fahrenheit_degree": "kelvin", "pound_force": "newton",
}  # fmt: skip
_INTO = {"metric": _METRIC, "us": _US, "imperial": _IMPERIAL}
"""Into what each unit of another system is turned. What all systems share stays: volts, percent, hours, mm²/s.

Bottles stay as they are sold ("1 × 5 L"), and so do differences ("for each 10 °F")."""

_SHOWN = Context(prec=4)
_GIVEN = Context(prec=3)
"""Digits of an example: what a person reads off."""
_NUMBER = r"-?\d+(?:\.\d+)?"
_IN_TEXT = re.compile(
    rf"(?<![\w.,/×-])(?<!× )(?<![0-9] of )(?<!each )((?:{_NUMBER}(?:, | to | and | or | by |–))*)({_NUMBER}) ("
    + "|".join(map(re.escape, sorted(SYMBOLS.values(), key=len, reverse=True)))
    + r")(?![\w/²³·])"
)


def in_system(answer: Answer, system: str) -> Answer:
    """Return an answer whose amounts are all in the units of a system: `metric`, `imperial` or `us`.

    Values stay exact to 24 digits; amounts in words are given with four digits.
    """
    more = tuple((name, _turned(value, system)) for name, value in answer.more)
    changed = {
        "value": _turned(answer.value, system),
        "more": more,
        "because": _in_words(answer.because, system),
        "also": _in_words(answer.also, system),
        "cautions": tuple(_in_words(text, system) for text in answer.cautions),
        "assumptions": tuple(_in_words(text, system) for text in answer.assumptions),
    }
    if isinstance(answer, Result) and answer.uncertainty is not None:
        changed["uncertainty"] = _spread(answer.uncertainty, system)
    if isinstance(answer, Finding):
        changed["say"] = _in_words(answer.say, system)
    return replace(answer, **changed)  # type: ignore[arg-type]


def example_in(calculation: Calculation, system: str | None) -> dict[str, str]:
    """Return the example of a computation with its amounts in the units of a system, in three digits as people give
    them; as it is without one. What is chosen out of a list, and to what it is turned by its own words, stays."""
    if system is None or calculation.chooses:
        return dict(calculation.example)
    listed = {each.name for each in calculation.inputs if each.options}
    return {
        name: text if name in listed else _in_words(text, system, _GIVEN) for name, text in calculation.example.items()
    }


def bound_in(text: str, system: str | None) -> str:
    """Return a bound of an input in the units of a system, in four digits; as it is without one."""
    return _in_words(text, system) if system else text


def _turned(value: Amount | str, system: str) -> Amount | str:
    return _in_words(value, system) if isinstance(value, str) else _into(value, system)


def _into(value: Amount, system: str) -> Amount:
    return convert(value, _INTO[system].get(value.unit, value.unit))


_APART = {"degree_Celsius": "kelvin", "degree_Fahrenheit": "Fahrenheit_degree"}


def _spread(value: Amount, system: str) -> Amount:
    """Return how far a value may be off: of a temperature it is a difference, which has no zero of its own."""
    if value.unit not in _APART:
        return _into(value, system)
    unit = _INTO[system].get(value.unit, value.unit)
    nothing, off = (convert(Amount(number, value.unit, value.kind), unit) for number in (Decimal(0), value.magnitude))
    return Amount(off.magnitude - nothing.magnitude, unit, value.kind)


def _in_words(text: str, system: str, digits: Context = _SHOWN) -> str:
    return _IN_TEXT.sub(lambda match: _written(match, system, digits), text)


def _written(match: re.Match[str], system: str, digits: Context) -> str:
    """Return numbers and their unit in another unit, "5 to 10 mm" all of them."""
    symbol = match[3]
    unit = amount(f"1 {symbol}").unit
    other = _INTO[system].get(unit)
    if other is None or other == unit:
        return match.group()
    numbers = re.sub(_NUMBER, lambda number: _shown(number.group(), symbol, other, digits), match[1] + match[2])
    return f"{numbers} {SYMBOLS[other]}"


def _shown(number: str, symbol: str, unit: str, digits: Context) -> str:
    turned = convert(amount(f"{number} {symbol}"), unit).magnitude
    return f"{digits.create_decimal(turned).normalize():f}"
