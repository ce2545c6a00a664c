"""What makes a number in a typed line doubtful, so that it is asked again: ranges, bounds, two readings."""

from __future__ import annotations

import re

from assistant.core.amounts.figures import begin_with_figures, plain, readings
from assistant.core.amounts.unit_names import WHOLE, unit_of
from assistant.core.amounts.why import ABOUT, BOUND, GIVE_OR_TAKE, MANY, TO
from assistant.core.errors import ReadingError
from assistant.core.quantities.saying import say_number

_ONE_BY_ONE = re.compile(r"(?<![0-9])[0-9](?:-[0-9]){2,}(?![0-9])")
"""Figures given one by one, as they are asked for: "8-4-2-0-0"."""
_RANGE = re.compile(rf"[0-9]\s*(?:{TO})\s*(?![0-9]+/)[.,]?[0-9]")
_BOUND = re.compile(rf"[{BOUND}{ABOUT}]|{GIVE_OR_TAKE}")
_NUMBER = re.compile(r"(?<![0-9.,'/])[0-9][0-9.,'/ ]*")


def doubt_in(line: str) -> str:
    """Return what to say of a line whose figures are no one exact number, at most fifteen words; empty if they are."""
    text = plain(line)
    if not re.search(r"[0-9]", text) or _ONE_BY_ONE.search(text):
        return ""
    if _RANGE.search(text):
        return MANY
    if _BOUND.search(text):
        return "That is no exact number. Give me the number itself."
    doubts = (_doubtful(text[match.start() :]) for match in _NUMBER.finditer(text))
    return next((doubt for doubt in doubts if doubt), "")


def _doubtful(text: str) -> str:
    """Return what to say of the number at the beginning of a text."""
    figures = begin_with_figures(text)
    if figures is None or not figures.values:
        return "I can't read that number. Write it with a decimal point."
    values = readings(figures, whole=_is_whole(figures.rest))
    if len(values) == 1:
        return ""
    try:
        first, second = map(say_number, values)
    except ReadingError:
        return MANY
    return f"{first[0].upper()}{first[1:]}, or {second}?"


def _is_whole(rest: str) -> bool:
    """Return whether a number is of a unit of which nobody gives thousandths; without one it may be of any."""
    word = re.match(r"[A-Za-z]+", rest)
    return word is None or unit_of(word.group(), None) in WHOLE
