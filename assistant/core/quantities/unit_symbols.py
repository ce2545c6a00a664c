"""How files write units, what is written in several meanings, and an example of each kind for who is refused."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

WRITTEN: dict[str, str] = {
    "N·m": "newton_metre", **dict.fromkeys(("N*m", "Nm", "N m", "N-m"), "newton_metre"),
    "lbf·ft": "foot_pound",
    **dict.fromkeys(("lbf*ft", "lbf ft", "lbf-ft", "lb·ft", "lb ft", "lb-ft", "ft·lb", "ft lb", "ft-lb", "ft·lbf",
                     "ft lbf", "ft-lbf"), "foot_pound"),
    "lbf·in": "inch_pound",
    **dict.fromkeys(("lbf in", "lbf-in", "lb·in", "lb in", "lb-in", "in·lb", "in lb", "in-lb", "in·lbf"), "inch_pound"),
    "kgf·m": "kilogram_force_metre", "kgf·cm": "kilogram_force_centimetre",
    "L": "litre", "l": "litre", "mL": "millilitre", "ml": "millilitre", "cL": "centilitre", "cl": "centilitre",
    "dL": "decilitre", "dl": "decilitre", "US qt": "US_quart", "US pt": "US_pint",
    "US gal": "US_gallon", "imp qt": "imperial_quart", "imp pt": "imperial_pint", "imp gal": "imperial_gallon",
    "US fl oz": "US_fluid_ounce", "kg": "kilogram", "g": "gram", "t": "tonne", "lb": "pound",
    "km": "kilometre", "mi": "mile", "miles": "mile", "mm": "millimetre", "cm": "centimetre", "m": "metre",
    "µm": "micrometre", "um": "micrometre",
    "in": "inch", "ft": "foot", "thou": "thou", "s": "second", "min": "minute", "h": "hour",
    "d": "day", "day": "day", "days": "day", "month": "month", "months": "month", "year": "year", "years": "year",
    "°C": "degree_Celsius", "°F": "degree_Fahrenheit", "kPa": "kilopascal", "MPa": "megapascal", "N/mm²": "megapascal",
    "bar": "bar", "psi": "psi",
    "%": "percent", "°": "degree_of_arc", "deg": "degree_of_arc", "turn": "turn", "turns": "turn",
    "km/h": "kilometre_per_hour", "mph": "mile_per_hour", "N": "newton", "kN": "kilonewton", "lbf": "pound_force",
    "mm²": "square_millimetre", "mm2": "square_millimetre", "cm²": "square_centimetre", "cm2": "square_centimetre",
    "in²": "square_inch", "in2": "square_inch",
    "kg/m³": "kilogram_per_cubic_metre", "kg/m3": "kilogram_per_cubic_metre", "g/mL": "gram_per_millilitre",
    "g/cm³": "gram_per_millilitre", "g/cm3": "gram_per_millilitre", "kg/L": "gram_per_millilitre",
    "mm²/s": "square_millimetre_per_second", "mm2/s": "square_millimetre_per_second",
    "cSt": "square_millimetre_per_second", "V": "volt", "mV": "millivolt", "A": "ampere", "mA": "milliampere",
    "Ah": "ampere_hour",
    "L/1000 km": "litre_per_1000_kilometre", "US qt/1000 mi": "US_quart_per_1000_mile",
    "K": "kelvin", "Δ°F": "Fahrenheit_degree",
    "×": "one", "pieces": "one", "piece": "one",
}  # fmt: skip
"""How files write a unit. The first spelling of each is the one that is written."""

AMBIGUOUS: dict[str, str] = {
    **dict.fromkeys(("qt", "quart", "quarts"), "US qt or imp qt"),
    **dict.fromkeys(("pt", "pint", "pints"), "US pt or imp pt"),
    **dict.fromkeys(("gal", "gallon", "gallons"), "US gal or imp gal"),
    **dict.fromkeys(("ton", "tons"), "t or lb"),
    **dict.fromkeys(("oz", "fl oz"), "US fl oz, or mL"),
}  # fmt: skip
"""What is no unit before it is told whose, and what to write for it."""

EXAMPLES: dict[str, str] = {
    "torque": "25 N·m", "volume": "3.8 L", "mass": "12 kg", "distance": "84200 km", "length": "12.5 mm",
    "duration": "12 months", "temperature": "20 °C", "pressure": "2.4 bar", "count": "4", "share": "50 %",
    "angle": "90 °", "speed": "120 km/h", "force": "250 N", "area": "58 mm²", "density": "860 kg/m³",
    "viscosity": "14.5 mm²/s", "voltage": "12.6 V", "current": "5.5 A", "charge": "60 Ah",
    "consumption": "0.5 L/1000 km", "difference of temperatures": "10 K",
}  # fmt: skip
"""An amount of each kind, as a person may write it. Invented numbers."""

_MOST_NEAR = 5


def near_units(written: str, symbols: Sequence[str]) -> tuple[str, ...]:
    """Return at most five of some symbols, those most like what was written first,
    and then the first of them."""
    near = get_close_matches(written, symbols, _MOST_NEAR, 0.4)
    return tuple(dict.fromkeys((*near, *symbols)))[:_MOST_NEAR]
