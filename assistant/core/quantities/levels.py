"""Dipstick readings in words to the part of the span that they may mean."""

from __future__ import annotations

import re
from decimal import Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Level

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


def level_of(words: str) -> Level:
    """Return the dipstick reading that words name, all of them; ReadingError where they name none, or say more."""
    marks = re.sub(r"\bmin(imum)?\b", "low", re.sub(r"\bmax(imum)?\b", "full", words))
    for pattern, said, lowest, highest in _LEVELS:
        if pattern.fullmatch(marks):
            return Level(Decimal(lowest), Decimal(highest), said)
    raise ReadingError(f"{words!r} is no dipstick reading", say="Say the dipstick level, for instance: near low.")
