"""Figures and signs to the words by which they are read aloud, and back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from assistant.core.errors import ReadingError
from assistant.core.quantities.number_words import SMALL, number_of
from assistant.core.quantities.saying import TWINS, say_digits, say_integer

_TWINS = {say_integer(one): say_integer(other) for pair in TWINS.items() for one, other in (pair, pair[::-1])}

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
        if not all(word in SMALL or word in ("hundred", "thousand", "point", "oh", "and") for word in run):
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
