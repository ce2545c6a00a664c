"""Spoken numbers, units and dipstick readings to exact values. To be read together with `numbers.jsgf`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from assistant.core.errors import ReadingError
from assistant.core.quantities.saying import TWINS, say_digits, say_integer
from assistant.core.quantities.units import Amount, Kind, Level, Value, checked, kind_of

_SMALL = {say_integer(number): number for number in (*range(20), *range(20, 100, 10))}
_DIGITS = {word: number for word, number in _SMALL.items() if number < 10}
_TWINS = {say_integer(one): say_integer(other) for pair in TWINS.items() for one, other in (pair, pair[::-1])}
_PARTS = {"half": Fraction(1, 2), "quarter": Fraction(1, 4), "quarters": Fraction(1, 4), "third": Fraction(1, 3),
          "thirds": Fraction(1, 3), "fifth": Fraction(1, 5), "fifths": Fraction(1, 5), "eighth": Fraction(1, 8),
          "eighths": Fraction(1, 8), "tenth": Fraction(1, 10), "tenths": Fraction(1, 10),
          "sixteenth": Fraction(1, 16), "sixteenths": Fraction(1, 16)}  # fmt: skip

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
NUMBER_WORDS = frozenset({*_SMALL, *_PARTS, "oh", "point", "hundred", "thousand"})
"""Words of which numbers are made; without "a" and "and", which change none."""

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

_LOW = r"(?:the )?low(?:er)?(?: mark| line)?"
_FULL = r"(?:the )?(?:full|upper)(?: mark| line)?"
_UP = r"(?: full| mark| of the way(?: up)?| up)?"
_SAID_LEVELS = (
    (rf"(?:below|under) {_LOW}", "below the low mark", "-0.5", "-0.05"),
    (rf"(?:at|on) {_LOW}", "at the low mark", "-0.1", "0.1"),
    (rf"(?:above|over|near|close to) {_LOW}", "near the low mark", "0", "0.25"),
    (rf"(?:at )?three quarters?{_UP}", "at three quarters", "0.625", "0.875"),
    (rf"(?:at )?(?:a |one )?quarter{_UP}", "at a quarter", "0.125", "0.375"),
    (rf"(?:at )?two thirds?{_UP}", "at two thirds", "0.54", "0.79"),
    (rf"(?:at )?(?:a |one )?third{_UP}", "at one third", "0.21", "0.46"),
    (
        rf"(?:at )?(?:a |one )?half{_UP}|(?:at )?(?:halfway|half way|midway)(?: up)?"
        rf"(?: between (?:the marks|{_LOW} and {_FULL}))?|(?:in )?(?:the )?middle",
        "halfway", "0.375", "0.625",
    ),
    (rf"(?:below|under|near|nearly|almost|close to) {_FULL}", "near the full mark", "0.75", "1"),
    (rf"(?:above|over) {_FULL}|overfull|over full", "above the full mark", "1.05", "1.5"),
    (rf"(?:(?:at|on|to) )?{_FULL}", "at the full mark", "0.9", "1.1"),
)  # fmt: skip
"""Words for a reading, and the part of the span that they may mean: an eighth to either side.

The width is common practice, no source."""
_LEVELS = tuple(
    (re.compile(rf"(?:(?:it is|it's|it reads|the oil is) )?(?:just |right |exactly )?(?:{pattern})"), said, low, high)
    for pattern, said, low, high in _SAID_LEVELS
)

_WRITTEN = (
    (r"n\W{0,2}m", "newton metres"), (r"(lbf?s?|pounds?)\W{0,2}(ft|feet)", "pound feet"),
    (r"(ft|foot)\W{0,2}(lbf?s?)", "foot pounds"), (r"in\W{0,2}lbf?s?", "inch pounds"), (r"°?\s*c", "degrees celsius"),
    (r"°?\s*f", "degrees fahrenheit"), (r"°", "degrees"), (r"l", "litres"), (r"mls?", "millilitres"),
    (r"kgs?", "kilograms"), (r"kms?", "kilometres"), (r"mi", "miles"), (r"mm", "millimetres"), (r"cm", "centimetres"),
    (r"lbs?", "pounds"), (r"qts?", "quarts"), (r"pts?", "pints"), (r"gals?", "gallons"), (r"psi", "p s i"),
    (r"kpa", "kilopascals"), (r"t", "tonnes"), (r"%", "percent"), (r"v", "volts"), (r"m", "metres"),
    (r"[\"″]", "inches"),
)  # fmt: skip
"""Units as they are written behind a figure, and how they are read."""

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_FRACTION_WORDS = {"1/2": "a half", "1/4": "a quarter", "3/4": "three quarters", "1/3": "a third", "2/3": "two thirds"}


def written_as_words(text: str) -> str:
    """Return a text in lower-case words as it would be read aloud: figures, fractions and symbols become words."""
    text = text.lower().replace("’", "'")
    for sign, figures in _FRACTIONS.items():
        text = text.replace(sign, f" {figures} ")
    for pattern, words in _WRITTEN:
        text = re.sub(rf"(?<=\d)[ -]*{pattern}(?![a-z])", f" {words} ", text)
    text = re.sub(r"\b(ft|foot)\W{0,2}lbf?s?\b", " foot pounds ", text)  # also behind a number in words
    text = re.sub(r"\bn\W{0,2}m\b", " newton metres ", text)
    text = re.sub(r"\bkpa\b", " kilopascals ", re.sub(r"\bpsi\b", " p s i ", text))
    text = re.sub(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?!\d|,\d)", lambda groups: groups.group().replace(",", ""), text)
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)  # a comma that groups no thousands is a decimal comma
    text = re.sub(r"(?<![^\s$£€])[-−–] ?(?=\.?\d)", " minus ", text)
    text = re.sub(r"(?<=\d) ?(?:[−–—]|\.{2,}|…) ?(?=\.?\d)", " to ", text)  # two numbers are not to become one
    text = re.sub(r"((?<!\d)\d+ +)?(?<![\d/])(\d+)/(\d+)(?![\d/])", _fraction, text)
    text = re.sub(r"\d*\.\d+|\d+", lambda match: f" {_figures(match.group())} ", text)
    return " ".join(re.sub(r"[^a-z' ]", " ", text).replace(" '", " ").split())


def _fraction(match: re.Match[str]) -> str:
    """Return a written fraction in words, joined to the whole number before it."""
    whole, upper, lower = match.groups()
    words = _FRACTION_WORDS.get(f"{upper}/{lower}", f"{upper} over {lower}")
    return f" {whole} and {words} " if whole else f" {words} "


def _figures(figures: str) -> str:
    whole, point, decimals = figures.partition(".")
    if point:
        return f"{_figures(whole)} {say_digits(point + decimals)}" if whole else say_digits(figures)
    if (len(figures) > 1 and figures[0] == "0") or len(figures) > 6:
        return say_digits(figures)
    return say_integer(int(figures)).replace("-", " ")


def in_figures(text: str) -> str:
    """Return words with every number in them written in figures, as in "25 litres" and "3.8 quarts"."""
    words, written, place = text.split(), [], 0
    while place < len(words):
        end, figures = _figures_at(words, place)
        written.append(figures or words[place])
        place = end if figures else place + 1
    return " ".join(written)


def _figures_at(words: Sequence[str], place: int) -> tuple[int, str]:
    """Return the end of the longest number that begins at a place, and its figures; without any they are empty."""
    for end in range(len(words), place, -1):
        run = words[place:end]
        if not all(word in _SMALL or word in ("hundred", "thousand", "point", "oh", "and") for word in run):
            continue
        try:
            number = number_of(run)
        except (ReadingError, ValueError):
            continue
        if run[0] in ("and", "hundred", "thousand") or run[-1] == "and":
            continue
        decimals = len(run) - 1 - run.index("point") if "point" in run else 0
        return end, f"{float(number):,.{decimals}f}" if number >= 10_000 else f"{float(number):.{decimals}f}"
    return place, ""


def twins_of(text: str) -> Iterator[str]:
    """Yield words with one number in them taken for its twin: "fifty litres" for "fifteen litres"."""
    words = text.split()
    for place, word in enumerate(words):
        if word in _TWINS:
            yield " ".join([*words[:place], _TWINS[word], *words[place + 1 :]])


def digit_by_digit(text: str) -> str:
    """Return words with every number in them said by its digits: "one five litres" for "fifteen litres"."""
    return re.sub(r"\d[\d,.]*", lambda figures: say_digits(figures.group().replace(",", "")), in_figures(text))


def number_of(words: Sequence[str]) -> Fraction:
    """Return the number that words name, exactly; ReadingError where they name none."""
    words = [word for word in words if word != "of"]
    if "point" in words:
        place = words.index("point")
        digits = _digits(words[place + 1 :])
        before = words[:place]
        return (_whole(before) if before else Fraction(0)) + Fraction(int(digits), 10 ** len(digits))
    if words and words[-1] in _PARTS:
        return _with_part(words)
    return _whole(words)


def _digits(words: Sequence[str]) -> str:
    digits = "".join(str(_DIGITS[_zero(word)]) for word in words if _zero(word) in _DIGITS)
    if not digits or len(digits) != len(words):
        raise _no_number(words)
    return digits


def _zero(word: str) -> str:
    return "zero" if word == "oh" else word


def _no_number(words: Sequence[str]) -> ReadingError:
    return ReadingError(f"{' '.join(words)!r} is no number", say="I heard no number. Say it again.")


def _with_part(words: Sequence[str]) -> Fraction:
    """Return the number in words that end with a part: "half", "three quarters", "two and a third"."""
    *before, part = words
    if "and" in before:
        place = len(before) - 1 - before[::-1].index("and")
        return _whole(before[:place]) + _with_part([*before[place + 1 :], part])
    times = 1 if before in ([], ["a"]) else _DIGITS.get(" ".join(before))
    if times is None:
        raise _no_number(words)
    return times * _PARTS[part]


def _whole(words: Sequence[str]) -> Fraction:
    names = [_zero(word) for word in words]
    if len(names) > 1 and all(word in _DIGITS for word in names):
        return Fraction(int(_digits(names)))
    before, rest = _parted(names, "thousand")
    if before:
        return _below_thousand(before) * 1000 + (_below_thousand(rest) if rest else 0)
    return _below_thousand(rest)


def _parted(names: Sequence[str], name: str) -> tuple[Sequence[str], Sequence[str]]:
    """Return what stands before "thousand" or "hundred", and what after it without the "and"."""
    if name not in names:
        return (), names
    place = names.index(name)
    if place == 0:
        raise _no_number(names)
    rest = names[place + 1 :]
    return names[:place], rest[1:] if len(rest) > 1 and rest[0] == "and" else rest


def _below_thousand(names: Sequence[str]) -> Fraction:
    """Return hundreds, tens and ones; a lone "a" is one, as in "a thousand"."""
    before, rest = _parted(names, "hundred")
    if before:
        return _below_thousand(before) * 100 + (_below_hundred(rest) if rest else 0)
    return Fraction(1) if list(rest) == ["a"] else _below_hundred(rest)


def _below_hundred(names: Sequence[str]) -> Fraction:
    match [_SMALL.get(name, -1) for name in names]:
        case [number] if number >= 0:
            return Fraction(number)
        case [tens, ones] if tens >= 20 and 0 < ones < 10:
            return Fraction(tens + ones)
        case _:
            raise _no_number(names)


def _split_unit(words: list[str]) -> tuple[list[str], str]:
    """Return the words of the number, and those of the unit in the singular."""
    known = {*_DIGITS, *_SMALL, *_PARTS, "oh", "a", "and", "of", "point", "hundred", "thousand"}
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
        raise _no_number(words.split())
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


def level_of(words: str) -> Level:
    """Return the dipstick reading that words name, all of them; ReadingError where they name none, or say more."""
    marks = re.sub(r"\bmin(imum)?\b", "low", re.sub(r"\bmax(imum)?\b", "full", words))
    for pattern, said, lowest, highest in _LEVELS:
        if pattern.fullmatch(marks):
            return Level(Decimal(lowest), Decimal(highest), said)
    raise ReadingError(f"{words!r} is no dipstick reading", say="Say the dipstick level, for instance: near low.")


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
