"""The one reader of amounts that people type, in figures or in words: exact, or refused.

It is total by construction: a text is a sign, a number and a unit, and nothing else. What is over is not passed over.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from math import gcd

from assistant.core.amounts.figures import Figures, begin_with_figures, plain, readings
from assistant.core.amounts.unit_names import CHOICES, REGIONAL, SHORT_TON, WHOLE, unit_of
from assistant.core.amounts.why import why_not
from assistant.core.amounts.words import begin_with_words
from assistant.core.errors import ReadingError
from assistant.core.quantities.saying import say_number
from assistant.core.quantities.units import Amount, Kind, checked, kind_of, unknown_unit, unreadable

LONGEST = 120
"""Letters of the longest text that is looked at: no amount is so long."""


def read_amount(text: str, kind: Kind | None = None, system: str | None = None) -> Amount:
    """Return an amount, typed ("3/8 in", "25 N·m") or in words ("three eighths of an inch"); of any kind with None.

    `system` says whose a quart, a pint, a gallon and a ton are; without it, and in one that does not know them, they
    are refused. ReadingError for a number without its unit, for another kind, and for all that is not one exact amount.
    """
    if len(text) > LONGEST:
        raise unreadable(f"{text[:20]!r}... is too long for an amount", kind)
    clean = plain(text)
    figures = begin_with_figures(clean)
    if figures is not None:
        return _of_figures(figures, clean, kind, system) or _of_words(clean, kind, system)
    return _of_words(clean, kind, system)


def _of_figures(figures: Figures, text: str, kind: Kind | None, system: str | None) -> Amount | None:
    """Return what figures and the unit behind them tell; None where words may tell more ("2 and a half litres")."""
    if re.match(r"(?:hundred|thousand|and) ", figures.rest):
        return None
    below = re.fullmatch(r"(.*?) ?\bbelow zero", figures.rest)
    if below and not figures.signed:
        minus = replace(figures, values=tuple(value.copy_negate() for value in figures.values), rest=below[1])
        found = _with_unit(minus, text, Kind.TEMPERATURE, system)
        return checked(found, text, kind)
    return _with_unit(figures, text, kind, system)


def _with_unit(figures: Figures, text: str, kind: Kind | None, system: str | None) -> Amount:
    unit = _unit(figures.rest, text, kind, system)
    value = _one_of(figures, text, unit)
    if figures.is_fraction and not _is_clear(text, _kind(unit)):
        raise _refused(text, f"{text!r} could be a fraction or a range: give one number with a decimal point", kind)
    return _made(value, unit, text, kind, system)


_CUT = (Kind.VOLUME, Kind.MASS, Kind.DISTANCE, Kind.DURATION, None)
"""Kinds that jugs, scales and people part in thirds and eighths; of others only halves and quarters are told."""


def _is_clear(text: str, kind: Kind | None) -> bool:
    """Return whether a fraction can be no range: "6/8 N·m" and "4/5 L" are how some write from six to eight."""
    if kind in (Kind.LENGTH, Kind.ANGLE) or re.search(r"[0-9][ -][0-9]+/", text):
        return True
    upper, lower = map(int, re.findall(r"([0-9]+)/([0-9]+)", text)[0])
    if lower in (2, 4):
        return upper in (1, 3) and upper < lower
    return kind in _CUT and gcd(upper, lower) == 1 and (upper + 1 < lower or lower == 3)


def _kind(unit: str) -> Kind | None:
    return None if unit in REGIONAL else kind_of(unit)


def _one_of(figures: Figures, text: str, unit: str) -> Decimal:
    """Return the one value of figures; ReadingError where their marks make no sense, or two."""
    kind, values = _kind(unit), readings(figures, whole=unit in WHOLE)
    if len(values) == 1:
        return values[0]
    if not values:
        raise _refused(text, f"{text!r}: the figures make no one number", kind)
    first, second = (say_number(value) for value in values)
    plainly = " or ".join(f"{value.normalize():f}" for value in values)
    say = f"{first[0].upper()}{first[1:]}, or {second}? Write it without groups."
    raise unreadable(f"{text!r} has two meanings: {first}, or {second}? Write {plainly}", kind, _short(say))


_MOST_WORDS = 15


def _short(say: str) -> str:
    return say if len(say.split()) <= _MOST_WORDS else "That number has two meanings. Write it with a point, no groups."


def _unit(written: str, text: str, kind: Kind | None, system: str | None) -> str:
    if not written:
        if kind is Kind.COUNT:
            return "one"
        raise _refused(
            text, f"{text!r} has no unit, and a {kind or 'unit'} is needed", kind, "Which unit? Say it again."
        )
    unit = unit_of(written.removeprefix("-") if re.match(r"-[A-Za-z]", written) else written, kind)
    if unit is None:
        why, say = why_not(text)
        raise unreadable(f"{text!r} {why}", kind, say) if why else unknown_unit(text, written, kind)
    if unit in REGIONAL and (system or "") not in REGIONAL[unit]:
        raise unreadable(
            f"a {unit} is not the same everywhere: {text!r} could mean two things: write {CHOICES[unit]}",
            kind or kind_of(next(iter(REGIONAL[unit].values()))),
            f"Which {unit}? Say it in another unit.",
        )
    return unit


def _made(value: Decimal, unit: str, text: str, kind: Kind | None, system: str | None) -> Amount:
    canonical = REGIONAL[unit][system or ""] if unit in REGIONAL else unit
    number = value * SHORT_TON if (unit, canonical) == ("ton", "pound") else value
    return checked(Amount(number, canonical, kind_of(canonical)), text, kind)


def _of_words(text: str, kind: Kind | None, system: str | None) -> Amount:
    """Return what a text in words tells; of several ways to part number and unit only one may have a meaning."""
    below = re.fullmatch(r"(.*?) ?\bbelow zero(?: (celsius|fahrenheit))?", text.lower())
    if below and not text.lower().startswith(("minus", "negative")):
        found = _of_words(f"minus {below[1]} {below[2] or ''}".strip(), Kind.TEMPERATURE, system)
        return checked(found, text, kind)
    ways = list(begin_with_words(text))
    if not ways:
        raise _refused(text, f"{text!r} does not begin with a number", kind)
    known = [way for way in ways if not way.rest or unit_of(way.rest, kind)]
    way = (known or ways)[0]
    unit = _unit(way.rest, text, kind, system)
    return _made(way.value, unit, text, kind, system)


def _refused(text: str, message: str, kind: Kind | None, say: str = "") -> ReadingError:
    """Return the refusal of a text, with what it seems to be instead of an amount."""
    why, spoken = why_not(text)
    return unreadable(f"{message}: it {why}" if why else message, kind, spoken or say)


def read_number(text: str) -> Decimal:
    """Return a number without a unit, for instance a price: "9.50", "9,50", "nine and a half"; ReadingError else."""
    return read_amount(text, Kind.COUNT).magnitude
