"""Numbers, amounts, dates and times in words for the ear, and in figures for the eye. Never a digit in what is said.

Teens and tens sound alike ("fifteen", "fifty"), so after an amount with such a number its digits follow:
"fifty, newton metres, five zero" (ICAO Annex 10 vol. II 5.2.1.4 has numbers said digit by digit). They follow
the unit, because what is said last is what is kept. A pause stands before the unit: run together, "thirty newton" and
"hundred foot" were written down as 13 and 104 by two recognisers (tests/benchmarks/round_trip.py).
"""

from __future__ import annotations

from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.units import SYMBOLS, Amount, Kind, Level

_ONES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
         "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ORDINALS = {1: "first", 2: "second", 3: "third", 5: "fifth", 8: "eighth", 9: "ninth", 12: "twelfth"}
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
           "November", "December")  # fmt: skip
TWINS = {10 + ones: 10 * ones for ones in range(3, 10)}
"""Each teen, and the ten that sounds like it. That fifteen and fifty do is published practice; the rest is memory."""

_FINEST = Decimal("0.001")
"""Finer nobody measures here: a longer fraction comes from a third, or from a sum in several units."""

_FINER = {"inch": Decimal("0.0001"), "foot": Decimal("0.0001")}
"""Inches are measured to the tenth of a thousandth, and sixteenths of one have four decimals."""

_NAMES = {
    "newton_metre": "newton metre", "foot_pound": "foot pound", "inch_pound": "inch pound",
    "kilogram_force_metre": "kilogram-force metre", "US_quart": "quart", "US_pint": "pint", "US_gallon": "gallon",
    "imperial_quart": "imperial quart", "imperial_pint": "imperial pint", "imperial_gallon": "imperial gallon",
    "US_fluid_ounce": "fluid ounce", "degree_Celsius": "degree Celsius", "degree_Fahrenheit": "degree Fahrenheit",
    "kilopascal": "kilopascal", "psi": "pound per square inch",
    "kilogram_force_centimetre": "kilogram-force centimetre",
    "degree_of_arc": "degree", "kilometre_per_hour": "kilometre per hour", "mile_per_hour": "mile per hour",
    "pound_force": "pound of force", "square_millimetre": "square millimetre",
    "square_centimetre": "square centimetre", "square_inch": "square inch",
    "kilogram_per_cubic_metre": "kilogram per cubic metre",
    "gram_per_millilitre": "gram per millilitre", "square_millimetre_per_second": "square millimetre per second",
    "ampere_hour": "ampere-hour", "litre_per_1000_kilometre": "litre per thousand kilometres",
    "US_quart_per_1000_mile": "quart per thousand miles", "Fahrenheit_degree": "Fahrenheit degree",
    "thou": "thousandth of an inch",
}  # fmt: skip
_PLURALS = {
    "square_inch": "square inches",
    "degree_Celsius": "degrees Celsius", "degree_Fahrenheit": "degrees Fahrenheit", "inch": "inches",
    "psi": "pounds per square inch", "bar": "bar", "kilopascal": "kilopascals",
    "percent": "percent", "foot": "feet", "kilometre_per_hour": "kilometres per hour",
    "mile_per_hour": "miles per hour", "pound_force": "pounds of force",
    "kilogram_per_cubic_metre": "kilograms per cubic metre",
    "gram_per_millilitre": "grams per millilitre", "square_millimetre_per_second": "square millimetres per second",
    "litre_per_1000_kilometre": "litres per thousand kilometres", "US_quart_per_1000_mile": "quarts per thousand miles",
    "thou": "thousandths of an inch", "kelvin": "kelvin",
}  # fmt: skip


def say_integer(number: int) -> str:
    """Return a whole number in words, below a thousand million; hundreds without "and"."""
    if number < 0:
        return f"minus {say_integer(-number)}"
    if number < 20:
        return _ONES[number]
    if number < 100:
        return _TENS[number // 10] + (f"-{_ONES[number % 10]}" if number % 10 else "")
    for size, name in ((1_000_000, "million"), (1_000, "thousand"), (100, "hundred")):
        if number >= size:
            rest = f" {say_integer(number % size)}" if number % size else ""
            return f"{say_integer(number // size)} {name}{rest}"
    raise AssertionError(number)


def say_number(number: Decimal, finest: Decimal = _FINEST) -> str:
    """Return a decimal in words, to the thousandth: "three point eight"; ReadingError for what is not finite."""
    number = _readable(number, finest)
    sign = "minus " if number < 0 else ""
    whole, _, decimals = f"{abs(number):f}".partition(".")
    words = say_integer(int(whole))
    return sign + (f"{words} point {' '.join(_ONES[int(digit)] for digit in decimals)}" if decimals else words)


def _readable(number: Decimal, finest: Decimal = _FINEST) -> Decimal:
    """Return a number rounded to the thousandth, without zeros behind its point; ReadingError where not finite."""
    if not number.is_finite():
        raise ReadingError(f"{number} is no number that can be said: read it again", say="I have no number for that.")
    rounded = round(number / finest) * finest
    return rounded.normalize() if rounded else Decimal(0)


def say_unit(unit: str, number: Decimal) -> str:
    """Return a unit in full, in the number that goes with the magnitude."""
    name = _NAMES.get(unit, unit)
    return name if abs(number) == 1 else _PLURALS.get(unit, f"{name}s")


def say_amount(amount: Amount) -> str:
    """Return an amount in words with its unit in full; a confusable number is followed by its digits."""
    finest = _FINER.get(amount.unit, _FINEST)
    number = _readable(amount.magnitude, finest)
    if amount.kind is Kind.COUNT:
        return say_number(number)
    words, unit = say_number(number, finest), say_unit(amount.unit, number)
    thousands, below = divmod(int(abs(number)), 1000)
    if {thousands % 100, below % 100} & {*TWINS.keys(), *TWINS.values()}:
        return f"{words}, {unit}, {say_digits(f'{abs(number):f}')}"
    return f"{words}, {unit}" if amount.kind is Kind.TORQUE else f"{words} {unit}"


def say_digits(figures: str) -> str:
    """Return figures one by one in words, with "point" for a point."""
    return " ".join("point" if figure == "." else _ONES[int(figure)] for figure in figures)


def say_level(level: Level) -> str:
    """Return a dipstick reading in the words in which it was given."""
    return level.said


def say_duration(seconds: float) -> str:
    """Return a length of time in words: in seconds under a minute and a half, in minutes under an hour and a half.

    What is longer is told to the half hour, and from two days on to the half day; what is below nothing as nothing.
    """
    whole = max(0, int(Decimal(seconds).quantize(Decimal(1), ROUND_HALF_UP)))
    if whole < 90 * 60:
        number, unit = (whole, "second") if whole < 90 else ((whole + 30) // 60, "minute")
        return f"{say_integer(number)} {unit}{'' if number == 1 else 's'}"
    size, unit = (3_600, "hour") if whole < 24 * 3_600 else (24 * 3_600, "day")
    number, half = divmod((4 * whole + size) // (2 * size), 2)
    return f"about {_one_and_a_half(number, unit, half)}" if number else f"about half a {unit}"


def _one_and_a_half(number: int, unit: str, half: int) -> str:
    if number == 1:
        return f"{'an' if unit[0] == 'h' else 'a'} {unit}{' and a half' if half else ''}"
    return f"{say_integer(number)}{' and a half' if half else ''} {unit}s"


def say_date(day: date) -> str:
    """Return a date in words: "the fourteenth of March twenty twenty-seven"."""
    return f"the {say_ordinal(day.day)} of {_MONTHS[day.month - 1]} {_say_year(day.year)}"


def _say_year(year: int) -> str:
    century, rest = divmod(year, 100)
    if year < 1000 or year % 1000 < 10:
        return say_integer(year)
    if rest == 0:
        return f"{say_integer(century)} hundred"
    return f"{say_integer(century)} {say_integer(rest) if rest >= 10 else f'oh {_ONES[rest]}'}"


def say_ordinal(number: int) -> str:
    """Return a place in a row in words, 1 to 99: "first", "twenty-third"."""
    if number in _ORDINALS:
        return _ORDINALS[number]
    if number < 20:
        return f"{_ONES[number]}th"
    if number % 10 == 0:
        return f"{_TENS[number // 10][:-1]}ieth"
    return f"{_TENS[number // 10]}-{say_ordinal(number % 10)}"


def show_amount(amount: Amount) -> str:
    """Return an amount in figures with its symbol, to the thousandth, for instance "25 N·m"."""
    number = f"{_readable(amount.magnitude, _FINER.get(amount.unit, _FINEST)):f}"
    return number if amount.kind is Kind.COUNT else f"{number} {SYMBOLS[amount.unit]}"


def capital(text: str) -> str:
    """Return a text that begins with a capital letter."""
    return f"{text[:1].upper()}{text[1:]}"
