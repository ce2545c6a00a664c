"""Readings of a dipstick as people write them: in words, as a part of the span, or as a length from either mark.

Exact, or asked again: a length says nothing without the span, and "not full" or "between" says no place.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from assistant.core.amounts.figures import begin_with_figures, plain
from assistant.core.amounts.reader import LONGEST, read_amount
from assistant.core.amounts.words import begin_with_words
from assistant.core.errors import ReadingError
from assistant.core.quantities.figures import written_as_words
from assistant.core.quantities.levels import level_of
from assistant.core.quantities.units import Kind, Level, convert

ASIDE = Decimal("0.125")
"""To so much of the span, to either side, a reading is good. Common practice, no source."""
MARK = Decimal("0.1")
"""Width of a mark to either side: what is read at it is at it. Common practice, no source."""
ALLOWED = (
    "near low, a quarter, halfway, three quarters, near full, full, 3/8, 40 %, 5 mm of 20 mm, 5 mm below full of 20 mm"
)

_LOW = r"(?:the )?(?:low|lower|bottom|minimum|min|add)(?: mark| line)?"
_FULL = r"(?:the )?(?:full|upper|top|maximum|max)(?: mark| line)?"
_FROM = re.compile(rf"(?P<far>.+?) (?P<way>above|over|up from|below|under|down from) (?:(?P<low>{_LOW})|{_FULL})")
_SPAN = re.compile(r"(?:,? (?:out )?of(?: a span of)? |, (?:the )?(?:span (?:is |of )?)?)")
_BETWEEN = re.compile(r"(?: between (?:the )?marks?| apart| span)$")
_PART_TAIL = re.compile(r"(?: full| of the (?:way(?: up)?|span)| up)$")


def read_level(text: str) -> Level:
    """Return a dipstick reading; ReadingError says what may be said instead.

    It is in words ("near low"), a fraction or percent of the span ("3/8", "40 %", "a quarter below full"), or a length
    with the span ("5 mm of 20 mm", "5 mm below full of 20 mm").
    """
    if len(text) > LONGEST:
        raise _unreadable(f"{text[:20]}...")
    clean = plain(text).lower().rstrip(".")
    part = _of_span(clean)
    if part is None:
        part = _offset(clean, None) if _FROM.fullmatch(clean) else _part(_PART_TAIL.sub("", clean))
    words = None if _has_figures(clean) else _in_words(clean)
    if words is not None:
        return words
    if part is None:
        raise _unreadable(text)
    return _level(part, text)


def _has_figures(text: str) -> bool:
    return re.search(r"[0-9%]", text) is not None


def _in_words(text: str) -> Level | None:
    if re.search(r"[^a-z' -]", text):
        return None
    try:
        return level_of(written_as_words(text))
    except ReadingError:
        return None


def _of_span(text: str) -> Decimal | None:
    """Return the part of a span that a length is, where both are given."""
    for match in _SPAN.finditer(text):
        span = _length(_BETWEEN.sub("", text[match.end() :]))
        if span is None:
            continue
        if span <= 0:
            raise ReadingError(f"{text!r}: the marks can't be nothing apart", say="How far apart are the marks?")
        above = text[: match.start()]
        part = _offset(above, span) if _FROM.fullmatch(above) else _share(above, span)
        if part is not None:
            return part
    return None


def _share(text: str, span: Decimal) -> Decimal | None:
    far = _length(text)
    return None if far is None else far / span


def _length(text: str) -> Decimal | None:
    """Return a length [millimetre]; None for what is no length."""
    try:
        return convert(read_amount(text, Kind.LENGTH), "millimetre").magnitude
    except ReadingError:
        return None


def _offset(text: str, span: Decimal | None) -> Decimal | None:
    """Return the part of the span that a way from a mark leads to; ReadingError for a length without the span."""
    match = _FROM.fullmatch(text)
    assert match
    length = _length(match["far"])
    if length is not None and span is None:
        raise ReadingError(
            f"{text!r} needs the span: write how far apart the marks are, for instance '{text} of 20 mm'",
            say="How far apart are the marks? Say both lengths.",
        )
    far = length / span if length is not None and span is not None else _part(match["far"])
    if far is None or far < 0:
        return None
    up = match["way"] in ("above", "over", "up from")
    return (Decimal(0) if match["low"] else Decimal(1)) + (far if up else -far)


def _part(text: str) -> Decimal | None:
    """Return a part of the span: a fraction or percent in figures or words; None for what is none."""
    figures = begin_with_figures(text)
    if figures is not None:
        if len(figures.values) != 1 or not (figures.is_fraction or _is_percent(figures.rest)):
            return None
        value = figures.values[0]
        if _is_percent(figures.rest):
            return value / 100
        return value if not figures.rest else None
    return next(_worded(text), None)


def _is_percent(text: str) -> bool:
    return text in ("%", "percent", "per cent")


def _worded(text: str) -> Iterator[Decimal]:
    for way in begin_with_words(text):
        if _is_percent(way.rest):
            yield way.value / 100
        elif not way.rest and 0 < abs(way.value) < 1:
            yield way.value


def _level(part: Decimal, text: str) -> Level:
    """Return the interval that a reading at a part of the span may mean; full is full, and low is low."""
    if not Decimal("-0.5") <= part <= Decimal("1.5"):
        raise ReadingError(
            f"{text} is outside -50 % to 150 % of the span. Allowed: {ALLOWED}",
            say="The dipstick can't show that. Read it again.",
        )
    if part in (0, 1):
        return Level(part - MARK, part + MARK, text)
    aside = min(ASIDE, 1 + MARK - part) if part < 1 else ASIDE  # what is read below the full mark is not over it
    return Level(part - aside, part + aside, text)


def _unreadable(text: str) -> ReadingError:
    if re.search(r"\bbetween\b|\bnot\b", text.lower()):
        return ReadingError(
            f"{text!r} names no one place. Allowed: {ALLOWED}",
            say="Where exactly? For instance: a quarter, or halfway.",
        )
    return ReadingError(
        f"{text!r} is no dipstick reading. Allowed: {ALLOWED}", say="Say the dipstick level, for instance: near low."
    )
