"""Units as tools, bottles, books and people write and say them. Looked up, never guessed.

A unit is compared in lower case, with a space for each point, dot, star or hyphen between its parts. Symbols that
differ by their case alone (mV, MV) are looked up as they are written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product

from assistant.core.quantities.unit_symbols import WRITTEN
from assistant.core.quantities.units import Kind

REGIONAL: dict[str, dict[str, str]] = {
    "quart": {"us": "US_quart", "imperial": "imperial_quart"},
    "pint": {"us": "US_pint", "imperial": "imperial_pint"},
    "gallon": {"us": "US_gallon", "imperial": "imperial_gallon"},
    "fluid ounce": {"us": "US_fluid_ounce"},
    "ton": {"metric": "tonne", "us": "pound"},
    "degree": {"metric": "degree_Celsius", "imperial": "degree_Celsius", "us": "degree_Fahrenheit"},
}
"""What means different things in different places: the owner's units decide, or it is refused."""
CHOICES = {
    "quart": "US qt or imp qt", "pint": "US pt or imp pt", "gallon": "US gal or imp gal",
    "fluid ounce": "US fl oz, or mL", "ton": "t, or lb", "degree": "°C or °F",
}  # fmt: skip
"""What to write instead."""
SHORT_TON = 2000
"""Pounds in a ton of the United States (NIST Handbook 44, appendix C)."""

WHOLE = ("kilometre", "mile", "kilogram", "pound", "one")
"""Units of which nobody on a car tells thousandths: three figures behind a comma are a group of thousands. Behind a
point they are one for half of Europe, and decimals for the others: that is asked."""

_REGIONAL_NAMES = {
    "quart": "qt qts quart quarts", "pint": "pt pts pint pints", "gallon": "gal gals gallon gallons",
    "ton": "ton tons",
}  # fmt: skip
_NAMES = {
    "litre": "l ltr litre litres liter liters",
    "decilitre": "dl decilitre decilitres deciliter deciliters",
    "centilitre": "cl centilitre centilitres centiliter centiliters",
    "millilitre": "ml mls millilitre millilitres milliliter milliliters cc ccm cm3 cm³",
    "kilogram": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
    "gram": "g gram grams gramme grammes", "tonne": "t tonne tonnes", "pound": "lb lbs pound pounds",
    "kilometre": "km kms kilometre kilometres kilometer kilometers", "mile": "mi mile miles",
    "millimetre": "mm millimetre millimetres millimeter millimeters",
    "centimetre": "cm centimetre centimetres centimeter centimeters",
    "metre": "m metre metres meter meters",
    "micrometre": "µm μm um micron microns micrometre micrometres micrometer micrometers",
    "inch": "in inch inches \" ″ ” ''", "foot": "ft foot feet", "thou": "thou thous",
    "second": "s sec secs second seconds", "minute": "min mins minute minutes", "hour": "h hr hrs hour hours",
    "day": "d day days", "month": "month months", "year": "yr yrs year years", "bar": "bar bars",
    "kilopascal": "kpa kilopascal kilopascals", "megapascal": "mpa megapascal megapascals n/mm² n/mm2",
    "psi": "psi p_s_i pounds_per_square_inch pound_per_square_inch lb/in² lb/in2 lbs/in² lbs/in2 lbf/in² lbf/in2",
    "percent": "% percent per_cent", "turn": "turn turns",
    "degree_of_arc": "degree_of_arc degrees_of_arc",
    "kilometre_per_hour": "km/h kmh kph kilometre_per_hour kilometres_per_hour kilometers_per_hour",
    "mile_per_hour": "mph mile_per_hour miles_per_hour", "newton": "n newton newtons",
    "kilonewton": "kn kilonewton kilonewtons",
    "pound_force": "lbf pound_of_force pounds_of_force pound_force pounds_force",
    "square_millimetre": "mm² mm2 square_millimetre square_millimetres square_millimeters",
    "square_inch": "in² in2 sq_in square_inch square_inches",
    "square_centimetre": "cm² cm2 square_centimetre square_centimetres square_centimeters",
    "kilogram_per_cubic_metre": "kg/m³ kg/m3 kilogram_per_cubic_metre kilograms_per_cubic_metre "
    "kilograms_per_cubic_meter",
    "gram_per_millilitre": "g/ml g/cm³ g/cm3 kg/l gram_per_millilitre grams_per_millilitre grams_per_milliliter",
    "square_millimetre_per_second": "mm²/s mm2/s cst centistoke centistokes square_millimetre_per_second "
    "square_millimetres_per_second square_millimeters_per_second",
    "volt": "v volt volts", "millivolt": "mv millivolt millivolts",
    "ampere": "a amp amps ampere amperes", "milliampere": "ma milliamp milliamps milliampere milliamperes",
    "ampere_hour": "ah amp_hour amp_hours ampere_hour ampere_hours",
    "litre_per_1000_kilometre": "l/1000_km l/1000km litre_per_thousand_kilometres litres_per_thousand_kilometres "
    "liters_per_thousand_kilometers litres_per_1000_km",
    "US_quart_per_1000_mile": "us_qt/1000_mi", "kelvin": "k kelvin kelvins", "Fahrenheit_degree": "δ°f",
    "US_quart": "us_qt us_quart us_quarts", "US_pint": "us_pt us_pint us_pints",
    "US_gallon": "us_gal us_gallon us_gallons",
    "imperial_quart": "imp_qt imperial_quart imperial_quarts", "imperial_pint": "imp_pt imperial_pint imperial_pints",
    "imperial_gallon": "imp_gal imperial_gallon imperial_gallons",
    "US_fluid_ounce": "us_fl_oz us_fluid_ounce us_fluid_ounces",
    "one": "× piece pieces pcs pc",
}  # fmt: skip
_TEMPERATURE = {"degree_Celsius": ("c", "celsius", "centigrade"), "degree_Fahrenheit": ("f", "fahrenheit")}
_DEGREE = ("", "°", "° ", "º", "º ", "˚", "˚ ", "deg ", "deg", "degree ", "degrees ")
_FEET, _INCHES = ("ft", "foot", "feet"), ("in", "inch", "inches")
_POUNDS = ("lb", "lbs", "lbf", "pound", "pounds")
_JOINED = ("", " ", "/")
_CASED = {"MV", "Mv", "MA", "Ma", "Mm", "MM/S", "mPa", "M", "S", "H", "D", "G", "T", "Km", "NM/S", "a", "k"}
"""What would be another unit, or none, in the case in which it is written."""


def _torques() -> Iterator[tuple[str, str]]:
    metres = ("m", "metre", "metres", "meter", "meters")
    yield from ((f"{one}{by}{other}", "newton_metre") for one, by, other in product(("n",), ("", " "), ("m",)))
    yield from ((f"newton{s}{by}{m}", "newton_metre") for s, by, m in product(("", "s"), ("", " "), metres[1:]))
    for length, unit in ((_FEET, "foot_pound"), (_INCHES, "inch_pound")):
        for one, by, pound in product(length, _JOINED, _POUNDS):
            yield f"{one}{by}{pound}", unit
            if by != "/":  # "lb/in" is how stiff a spring is
                yield f"{pound}{by}{one}", unit
    for force, by in product(("kgf", "kg", "kp"), ("", " ")):
        yield f"{force}{by}m", "kilogram_force_metre"
        yield f"{force}{by}cm", "kilogram_force_centimetre"


def _all() -> Iterator[tuple[str, str]]:
    for unit, names in _NAMES.items():
        yield from ((name.replace("_", " "), unit) for name in names.split())
    for unit, scales in _TEMPERATURE.items():
        yield from ((before + scale, unit) for before, scale in product(_DEGREE, scales))
    yield "℃", "degree_Celsius"
    yield "℉", "degree_Fahrenheit"
    yield from _torques()


_KNOWN = dict(_all())
_REGIONAL_OF = {name: unit for unit, names in _REGIONAL_NAMES.items() for name in names.split()} | {
    "fl oz": "fluid ounce", "fluid ounce": "fluid ounce", "fluid ounces": "fluid ounce", "oz": "fluid ounce",
    "ounce": "fluid ounce", "ounces": "fluid ounce",
}  # fmt: skip
_ARC = ("°", "º", "˚", "deg", "degree", "degrees")
_BY_KIND: dict[tuple[str, Kind | None], str] = {
    ("mil", Kind.VOLUME): "millilitre", ("mils", Kind.VOLUME): "millilitre", ("×", Kind.COUNT): "one",
    ("x", Kind.COUNT): "one", ("'", Kind.LENGTH): "foot",
}  # fmt: skip
_BETWEEN = re.compile(r"(?<=\w)(?: ?[·⋅•∙∘×*] ?|[-\u2010\u2011.](?: (?=\w))?)(?=\w)")


def _key(written: str) -> str:
    """Return a unit as it is looked up; a point that shortens a word is no part of it."""
    text = re.sub(r"(?<=[A-Za-z])\.(?=[ -]|$)", "", written)
    return _BETWEEN.sub(" ", text).lower()


def unit_of(written: str, kind: Kind | None) -> str | None:
    """Return the canonical unit that is written, or the name of a regional one; None for what is not known."""
    if written in WRITTEN and written not in _ARC:
        return WRITTEN[written]
    key = _key(written)
    if (key, kind) in _BY_KIND:
        return _BY_KIND[key, kind]
    if key in _ARC:
        return _degrees(written, kind)
    if written in _CASED:
        return None
    return _REGIONAL_OF.get(key) or _KNOWN.get(key)


def _degrees(written: str, kind: Kind | None) -> str:
    """Return whether degrees are of arc or of a temperature: what is needed tells, else the sign alone is of arc."""
    if kind is Kind.ANGLE or (kind is not Kind.TEMPERATURE and written in ("°", "deg")):
        return "degree_of_arc"
    return "degree"
