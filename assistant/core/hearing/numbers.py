"""Spoken numbers, units and dipstick readings to exact values. To be read together with `numbers.jsgf`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from assistant.core.errors import ReadingError
from assistant.core.saying import say_digits, say_integer, say_number
from assistant.core.units import Amount, Kind, Level, Value, kind_of

_SMALL = {say_integer(number): number for number in (*range(20), *range(20, 100, 10))}
_DIGITS = {word: number for word, number in _SMALL.items() if number < 10}
_PARTS = {"half": Fraction(1, 2), "quarter": Fraction(1, 4), "quarters": Fraction(1, 4), "third": Fraction(1, 3),
          "thirds": Fraction(1, 3)}  # fmt: skip

_UNITS = {
    "litre": "litre", "liter": "litre", "millilitre": "millilitre", "milliliter": "millilitre", "mil": "millilitre",
    "newton metre": "newton_metre", "newton meter": "newton_metre", "newton": "newton_metre",
    "foot pound": "foot_pound", "pound foot": "foot_pound", "pound feet": "foot_pound", "inch pound": "inch_pound",
    "pound inche": "inch_pound", "kilogram": "kilogram", "kilo": "kilogram", "tonne": "tonne", "pound": "pound",
    "kilometre": "kilometre", "kilometer": "kilometre", "mile": "mile", "millimetre": "millimetre",
    "millimeter": "millimetre", "inch": "inch", "inche": "inch", "month": "month", "year": "year", "minute": "minute",
    "bar": "bar", "p s i": "psi",
}  # fmt: skip
_REGIONAL = {
    "quart": {"us": "US_quart", "imperial": "imperial_quart"},
    "pint": {"us": "US_pint", "imperial": "imperial_pint"},
    "gallon": {"us": "US_gallon", "imperial": "imperial_gallon"},
    "ton": {"metric": "tonne"},
    "degree": {"metric": "degree_Celsius", "imperial": "degree_Celsius", "us": "degree_Fahrenheit"},
}
"""Units that mean different things in different places: the owner's system decides, or they are refused."""

_LEVELS = (
    (r"(below|under) (the )?low", "below the low mark", "-0.5", "-0.05"),
    (r"(at|on) (the )?low", "at the low mark", "-0.1", "0.1"),
    (r"(above|near|close to) (the )?low", "near the low mark", "0", "0.25"),
    (r"three quarter", "at three quarters", "0.625", "0.875"),
    (r"quarter", "at a quarter", "0.125", "0.375"),
    (r"two third", "at two thirds", "0.54", "0.79"),
    (r"third", "at one third", "0.21", "0.46"),
    (r"half|middle", "halfway", "0.375", "0.625"),
    (r"(below|near|close to) (the )?full", "near the full mark", "0.75", "1"),
    (r"(above|over) (the )?full|overfull", "above the full mark", "1.05", "1.5"),
    (r"full", "at the full mark", "0.9", "1.1"),
)
"""Words for a reading, and the part of the span that they may mean: an eighth to either side.

The width is common practice, no source."""

_WRITTEN_UNITS = (
    (r"\bn\W{0,2}m\b", " newton metres "), (r"\b(lbf?|pounds?)\W{0,2}(ft|feet)\b", " pound feet "),
    (r"\b(ft|foot)\W{0,2}lbf?s?\b", " foot pounds "), (r"\bin\W{0,2}lbs?\b", " inch pounds "),
    (r"(?<=\d)\s*l\b", " litres "), (r"(?<=\d)\s*ml\b", " millilitres "), (r"(?<=\d)\s*kg\b", " kilograms "),
    (r"(?<=\d)\s*kms?\b", " kilometres "), (r"(?<=\d)\s*mm\b", " millimetres "), (r"(?<=\d)\s*lbs?\b", " pounds "),
    (r"(?<=\d)\s*qts?\b", " quarts "), (r"\bpsi\b", " p s i "), (r"%", " percent "), (r"½", " and a half "),
    (r"¼", " and a quarter "), (r"¾", " and three quarters "), (r"\b1/2\b", " half "), (r"\b1/4\b", " a quarter "),
    (r"\b3/4\b", " three quarters "), (r"\b1/3\b", " a third "), (r"\b2/3\b", " two thirds "),
)  # fmt: skip


def written_as_words(text: str) -> str:
    """Return a text in lower-case words as it would be read aloud: figures, fractions and symbols become words."""
    text = text.lower().replace("’", "'")
    for pattern, words in _WRITTEN_UNITS:
        text = re.sub(pattern, words, text)
    text = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
    text = re.sub(r"\d*\.\d+|\d+", lambda match: f" {_figures(match.group())} ", text)
    return " ".join(re.sub(r"[^a-z' ]", " ", text).replace(" '", " ").split())


def _figures(figures: str) -> str:
    if "." in figures:
        return (
            say_number(Decimal(figures)).replace("-", " ") if figures[0] != "." else f"point {say_digits_of(figures)}"
        )
    if (len(figures) > 1 and figures[0] == "0") or len(figures) > 6:
        return say_digits_of(figures)
    return say_integer(int(figures)).replace("-", " ")


def say_digits_of(figures: str) -> str:
    """Return figures one by one, zeros at the front included."""
    return " ".join(say_digits(int(figure)) for figure in figures if figure.isdigit())


def number_of(words: Sequence[str]) -> Fraction:
    """Return the number that words name, exactly; ReadingError where they name none."""
    words = [word for word in words if word not in ("of",)]
    if "point" in words:
        place = words.index("point")
        digits = "".join(str(_DIGITS[_zero(word)]) for word in words[place + 1 :])
        before = words[:place]
        return (_whole(before) if before else Fraction(0)) + Fraction(int(digits), 10 ** len(digits))
    part = next((place for place, word in enumerate(words) if word in _PARTS), None)
    if part is not None:
        return _with_part(words[: part + 1])
    return _whole(words)


def _zero(word: str) -> str:
    return "zero" if word == "oh" else word


def _with_part(words: Sequence[str]) -> Fraction:
    before = list(words[:-1])
    if "and" in before:
        place = len(before) - 1 - before[::-1].index("and")
        return _whole(before[:place]) + _with_part([*before[place + 1 :], words[-1]])
    times = [_DIGITS[word] for word in before if word in _DIGITS]
    return _PARTS[words[-1]] * (times[0] if times else 1)


def _whole(words: Sequence[str]) -> Fraction:
    names = [_zero(word) for word in words if word != "and"]
    if not names or any(word not in _SMALL and word not in ("a", "hundred", "thousand") for word in names):
        raise ReadingError(f"{' '.join(words)!r} is no number", say="I heard no number. Say it again.")
    if len(names) > 1 and all(word in _DIGITS for word in names):
        return Fraction(int("".join(str(_DIGITS[word]) for word in names)))
    total, group = 0, 0
    for word in names:
        if word == "thousand":
            total, group = total + max(group, 1) * 1000, 0
        elif word == "hundred":
            group = max(group, 1) * 100
        elif word != "a":
            group += _SMALL[word]
    return Fraction(total + group)


def _split_unit(words: list[str]) -> tuple[list[str], str]:
    """Return the words of the number, and those of the unit in the singular."""
    known = {*_DIGITS, *_SMALL, *_PARTS, "oh", "a", "and", "of", "point", "hundred", "thousand"}
    place = len(words)
    while place and words[place - 1] not in known:
        place -= 1
    number, unit = words[:place], " ".join(words[place:])
    while number and number[-1] in ("a", "of"):
        number.pop()
    return number, unit if unit in _UNITS or unit in _REGIONAL else unit.removesuffix("s")


def quantity_of(words: str, system: str) -> Amount:
    """Return the amount that words name, in the owner's system where a unit has several meanings.

    A number without a unit is a count. ReadingError for a unit that is ambiguous for this owner.
    """
    number, unit = _split_unit(words.split())
    exact = number_of(number)
    magnitude = Decimal(exact.numerator) / Decimal(exact.denominator)
    if not unit:
        return Amount(magnitude, "one", Kind.COUNT)
    if unit in _REGIONAL:
        canonical = _REGIONAL[unit].get(str(system))
        if not canonical:
            raise ReadingError(f"a {unit} is not the same everywhere", say=f"Which {unit}? Say it in another unit.")
    elif unit in _UNITS:
        canonical = _UNITS[unit]
    else:
        raise ReadingError(f"the unit {unit!r} is not known", say=f"I do not know the unit {unit}.")
    return Amount(magnitude, canonical, kind_of(canonical))


def level_of(words: str) -> Level:
    """Return the dipstick reading that words name; ReadingError where they name none."""
    for pattern, said, lowest, highest in _LEVELS:
        if re.search(pattern, words):
            return Level(Decimal(lowest), Decimal(highest), said)
    raise ReadingError(f"{words!r} is no dipstick reading", say="Say the dipstick level, for instance: near low.")


def value_of(slot: str, words: str, system: str) -> Value:
    """Return the value of a slot of a phrase: a dipstick reading, or an amount."""
    return level_of(words) if slot == "level" else quantity_of(words, system)


def meaning_of(slot: str | None, words: str) -> object:
    """Return what tells one value from another: its exact value, or the words where they name none."""
    try:
        return value_of(slot or "", words, "") if words else ""
    except ReadingError:
        return words
