"""Numbers in words to exact values. To be read together with `numbers.jsgf`."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.core.errors import ReadingError
from assistant.core.quantities.saying import say_integer

SMALL = {say_integer(number): number for number in (*range(20), *range(20, 100, 10))}
"""The words of numbers that are one word."""
DIGITS = {word: number for word, number in SMALL.items() if number < 10}
"""Those of one figure."""
PARTS = {"half": Fraction(1, 2), "quarter": Fraction(1, 4), "quarters": Fraction(1, 4), "third": Fraction(1, 3),
          "thirds": Fraction(1, 3), "fifth": Fraction(1, 5), "fifths": Fraction(1, 5), "eighth": Fraction(1, 8),
          "eighths": Fraction(1, 8), "tenth": Fraction(1, 10), "tenths": Fraction(1, 10),
          "sixteenth": Fraction(1, 16), "sixteenths": Fraction(1, 16)}  # fmt: skip
"""The words of parts of a whole."""
NUMBER_WORDS = frozenset({*SMALL, *PARTS, "oh", "point", "hundred", "thousand"})
"""Words of which numbers are made; without "a" and "and", which change none."""


def number_of(words: Sequence[str]) -> Fraction:
    """Return the number that words name, exactly; ReadingError where they name none."""
    words = [word for word in words if word != "of"]
    if "point" in words:
        place = words.index("point")
        digits = _digits(words[place + 1 :])
        before = words[:place]
        return (_whole(before) if before else Fraction(0)) + Fraction(int(digits), 10 ** len(digits))
    if words and words[-1] in PARTS:
        return _with_part(words)
    return _whole(words)


def _digits(words: Sequence[str]) -> str:
    digits = "".join(str(DIGITS[_zero(word)]) for word in words if _zero(word) in DIGITS)
    if not digits or len(digits) != len(words):
        raise no_number(words)
    return digits


def _zero(word: str) -> str:
    return "zero" if word == "oh" else word


def no_number(words: Sequence[str]) -> ReadingError:
    """Return the refusal of words that name no number."""
    return ReadingError(f"{' '.join(words)!r} is no number", say="I heard no number. Say it again.")


def _with_part(words: Sequence[str]) -> Fraction:
    """Return the number in words that end with a part: "half", "three quarters", "two and a third"."""
    *before, part = words
    if "and" in before:
        place = len(before) - 1 - before[::-1].index("and")
        return _whole(before[:place]) + _with_part([*before[place + 1 :], part])
    times = 1 if before in ([], ["a"]) else DIGITS.get(" ".join(before))
    if times is None:
        raise no_number(words)
    return times * PARTS[part]


def _whole(words: Sequence[str]) -> Fraction:
    names = [_zero(word) for word in words]
    if len(names) > 1 and all(word in DIGITS for word in names):
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
        raise no_number(names)
    rest = names[place + 1 :]
    return names[:place], rest[1:] if len(rest) > 1 and rest[0] == "and" else rest


def _below_thousand(names: Sequence[str]) -> Fraction:
    """Return hundreds, tens and ones; a lone "a" is one, as in "a thousand"."""
    before, rest = _parted(names, "hundred")
    if before:
        return _below_thousand(before) * 100 + (_below_hundred(rest) if rest else 0)
    return Fraction(1) if list(rest) == ["a"] else _below_hundred(rest)


def _below_hundred(names: Sequence[str]) -> Fraction:
    match [SMALL.get(name, -1) for name in names]:
        case [number] if number >= 0:
            return Fraction(number)
        case [tens, ones] if tens >= 20 and 0 < ones < 10:
            return Fraction(tens + ones)
        case _:
            raise no_number(names)
