"""The number at the beginning of a text, in figures: its sign, and each value that its marks may mean.

A comma groups thousands for some and begins decimals for others; so a number may have two readings, and is then no
number before somebody tells which. Nothing is dropped: what is not the number is given back as the rest.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

MINUS = "-\u2212\u2010\u2011\u2012\u2013\u2014\ufe63\uff0d"
"""A hyphen, the sign for minus, and all dashes that word processors put in their place."""
_SPACES = re.compile(r"[\s\u2009\u200a\u202f\u00a0]+")
_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
          "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅒": "1/10"}  # fmt: skip
_PART_SIGN = re.compile(rf"((?<=[0-9]) ?)?([{''.join(_SIGNS)}])(?![0-9/])")
"""A sign for a part, with the whole number before it; with figures behind it it would become another fraction."""
_LOWER = (2, 3, 4, 5, 6, 8, 10, 16, 32, 64, 100, 128)
"""Lower halves of fractions that tools, jugs and rulers have; "25/30" is a range to those who write it."""
_KEPT_PLACES = 12
"""Decimals kept of a fraction such as a third: far finer than any tool."""

_SIGN = re.compile(rf"(?:[+{re.escape(MINUS)}]|(?:plus|minus|negative)\b) ?", re.IGNORECASE)
_FRACTION = re.compile(r"(?:([0-9]+)[ -])?([0-9]+)/([0-9]+)(?![0-9./,])")
_PLAIN = re.compile(r"[0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]{1,3})?(?![0-9.,'])")
_RUN = re.compile(r"[0-9.,'](?:[0-9.,']| (?=[0-9]))*(?<=[0-9])|[0-9]")
_GROUPS = r"[1-9][0-9]{0,2}(?:%s[0-9]{3})+"
_GROUPED = tuple(re.compile(rf"({_GROUPS % re.escape(mark)})(?:([.,])([0-9]+))?") for mark in (",", ".", " ", "'"))
_POINT_GROUP = re.compile(r"[^0-9]*[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,])")
_DECIMAL = re.compile(r"(0?|[1-9][0-9]*)[.,]([0-9]+)|([0-9]+)")


@dataclass(frozen=True, slots=True)
class Figures:
    """A number at the beginning of a text."""

    values: tuple[Decimal, ...]
    """What it may mean; two where its comma has two meanings, the decimal first."""
    pointed: bool
    """Whether its point may group thousands too, for who groups them so."""
    negative: bool
    signed: bool
    is_fraction: bool
    rest: str
    """What stands behind it, without the space between."""


def plain(text: str) -> str:
    """Return a text with one kind of space, of apostrophe and of fraction; nothing of it is left out."""
    text = _SPACES.sub(" ", text).strip().replace("’", "'").replace("\u2044", "/")
    return _PART_SIGN.sub(lambda sign: ("" if sign[1] is None else " ") + _SIGNS[sign[2]], text)


def begin_with_figures(text: str) -> Figures | None:
    """Return the number at the beginning of a `plain` text; None where there is none, or none that can be read."""
    sign = _SIGN.match(text)
    body = text[sign.end() :] if sign else text
    negative = sign is not None and sign.group().strip().lower() not in ("+", "plus")
    found = _fraction(body) or _run(body)
    if found is None:
        return None
    values, end, is_fraction = found
    signed = tuple(value.copy_negate() for value in values) if negative else values
    return Figures(
        signed,
        _POINT_GROUP.match(body) is not None,
        negative,
        sign is not None,
        is_fraction,
        body[end:].removeprefix(" "),
    )


def readings(figures: Figures, *, whole: bool) -> tuple[Decimal, ...]:
    """Return each value that figures may mean of a unit of which thousandths are told, or only whole ones."""
    if whole and len(figures.values) == 2:
        return figures.values[1:]
    if whole and figures.pointed and len(figures.values) == 1:
        return (*figures.values, figures.values[0] * 1000)
    return figures.values


def _fraction(text: str) -> tuple[tuple[Decimal, ...], int, bool] | None:
    match = _FRACTION.match(text)
    if not match:
        return None
    whole, upper, lower = match[1], int(match[2]), int(match[3])
    whole_mark = lower == 1 and upper <= 1 and not whole  # "0/1" and "1/1" are the marks of a dipstick
    if (not whole_mark and lower not in _LOWER) or (whole and upper >= lower) or len(match[2]) > 3:
        return (), match.end(), True
    return (decimal_of(int(whole or 0) + Fraction(upper, lower)),), match.end(), True


def decimal_of(exact: Fraction) -> Decimal:
    """Return a fraction as a decimal, with the places that are kept of one without end."""
    value = Decimal(exact.numerator) / Decimal(exact.denominator)
    return Decimal(f"{round(value, _KEPT_PLACES).normalize():f}")


def _run(text: str) -> tuple[tuple[Decimal, ...], int, bool] | None:
    """Return the values of figures with their marks; no value where the marks make no sense."""
    plainly = _PLAIN.match(text)
    run = _RUN.match(text)
    if plainly and run and plainly.end() >= run.end():
        return (Decimal(plainly.group()),), plainly.end(), False
    if run is None:
        return None
    return _readings(run.group()), run.end(), False


def _readings(run: str) -> tuple[Decimal, ...]:
    """Return each value that figures with marks may mean."""
    found = [_decimal(run), *(_grouped(pattern.fullmatch(run)) for pattern in _GROUPED)]
    return tuple(dict.fromkeys(value for value in found if value is not None))


def _decimal(run: str) -> Decimal | None:
    match = _DECIMAL.fullmatch(run)
    if not match:
        return None
    return Decimal(match[3] or f"{match[1] or 0}.{match[2]}")


def _grouped(match: re.Match[str] | None) -> Decimal | None:
    if match is None:
        return None
    whole, mark, decimals = match.groups()
    if mark is not None and mark in whole:
        return None
    figures = re.sub(r"[^0-9]", "", whole)
    return Decimal(f"{figures}.{decimals}" if decimals else figures)
