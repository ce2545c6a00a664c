"""What a person gives to a computation, said or typed, as exact values. Refuses what makes no sense; never clamps."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction

from assistant.core.compute.calculation import Calculation, Form, Input
from assistant.core.errors import ReadingError
from assistant.core.hearing.numbers import level_of, quantity_of, written_as_words
from assistant.core.saying import say_amount
from assistant.core.units import Amount, Kind, Level, Value, amount, convert, write_amount

_FRACTION = re.compile(r"(?:(\d+)[ -]+)?(\d+)/(\d+)(?= *[^\d/ ]|$)")
_KEPT_PLACES = 12
"""Decimals kept of a fraction such as a third: far finer than any tool."""


def read_amount(text: str, kind: Kind | None, system: str = "metric") -> Amount:
    """Return an amount, typed ("3/8 in", "25 N·m") or in words ("three eighths of an inch"); of any kind with None.

    `system` says what a quart, a pint and a gallon are; in the metric one they are refused. ReadingError for a number
    without its unit, for another kind, and for what is no amount.
    """
    figures = _FRACTION.sub(_decimal, text.strip())
    if re.match(r"[-+−.\d]", figures):
        return _typed(figures.replace("−", "-"), kind, system)
    return _of_kind(quantity_of(written_as_words(text), system), text, kind)


def _decimal(match: re.Match[str]) -> str:
    whole, upper, lower = (int(part or 0) for part in match.groups())
    if lower == 0:
        raise ReadingError(f"{match.group()!r} divides by zero", say="That fraction divides by zero. Say it again.")
    exact = whole + Fraction(upper, lower)
    return f"{round(Decimal(exact.numerator) / Decimal(exact.denominator), _KEPT_PLACES):f}"


def _typed(text: str, kind: Kind | None, system: str) -> Amount:
    try:
        return amount(text, kind)
    except ReadingError as refused:
        if re.fullmatch(r"[-+\d.,eE]*", text.strip()):
            raise
        try:
            return _of_kind(quantity_of(written_as_words(text), system), text, kind)
        except ReadingError:
            raise refused from None


def _of_kind(value: Amount, text: str, kind: Kind | None) -> Amount:
    if value.kind is Kind.COUNT and kind is not Kind.COUNT:
        raise ReadingError(
            f"{text!r} has no unit, and a {kind or 'unit'} is needed: say it with its unit",
            say="Which unit? Say it again.",
        )
    if kind is None or value.kind is kind:
        return value
    raise ReadingError(
        f"{text!r} is a {value.kind}, and a {kind} is needed", say=f"That is a {value.kind}. I need a {kind}."
    )


def read_inputs(
    calculation: Calculation, given: Mapping[str, str], system: str
) -> dict[str, Value | str | date | None]:
    """Return every input of a computation by the name of its parameter.

    ReadingError for an input that it does not take, one that is missing, and one that can't be.
    """
    names = [each.name for each in calculation.inputs]
    for name in given:
        if name not in names:
            near = get_close_matches(name, names, 1)
            raise ReadingError(
                f"{calculation.name} takes no {name!r}"
                + (f"; did you mean {near[0]!r}?" if near else "")
                + f" It takes: {', '.join(names)}.",
                say="I can't use one of those values here. Ask what it takes.",
            )
    return {each.name.replace("-", "_"): _read(each, given.get(each.name), system) for each in calculation.inputs}


def _read(wanted: Input, text: str | None, system: str) -> Value | str | date | None:
    text = wanted.default if text is None or not text.strip() else text.strip()
    if text is None:
        raise ReadingError(
            f"{wanted.name} is missing: {wanted.means}", say=f"I need to know the {wanted.name.replace('-', ' ')}."
        )
    if text == "":
        return None
    try:
        return _value(wanted, text, system)
    except ReadingError as error:
        raise ReadingError(f"{wanted.name}: {error}", say=error.say) from error


def _value(wanted: Input, text: str, system: str) -> Value | str | date:
    match wanted.takes:
        case Form.TEXT:
            return _text(wanted, text)
        case Form.DAY:
            return _day(text)
        case Form.LEVEL:
            return read_level(text)
        case Form.AMOUNT:
            return read_amount(text, None, system)
        case kind:
            return _within(wanted, read_amount(text, kind, system))


def _text(wanted: Input, text: str) -> str:
    if wanted.options and text not in wanted.options:
        near = get_close_matches(text, wanted.options, 1)
        raise ReadingError(
            f"{text!r} is not known" + (f"; did you mean {near[0]!r}?" if near else "")
            + f" Choose one of: {', '.join(wanted.options)}.",
            say=f"I do not know that {wanted.name.replace('-', ' ')}. Say another.",
        )  # fmt: skip
    return text


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ReadingError(
            f"{text!r} is no date: write it as year-month-day, for instance 2026-03-14",
            say="I can't read that date. Say the year, the month and the day.",
        ) from error


def read_level(text: str) -> Level:
    """Return a dipstick reading: in words, a fraction, percent of the span, or a part of it ("5 mm of 20 mm").

    Figures are good to an eighth of the span to either side (common practice, no source).
    """
    if parts := re.fullmatch(r"(-?[\d.]+ *[a-z]+) +of +([\d.]+ *[a-z]+)", text):
        above, marks = (read_amount(each, Kind.LENGTH) for each in parts.groups())
        return _of_marks(above, marks, text)
    if found := re.fullmatch(r"(-?[\d.]+) *%|(\d+)/(\d+)", text):
        percent, upper, lower = found.groups()
        if lower is not None and int(lower) == 0:
            raise ReadingError(f"{text!r} divides by zero", say="That fraction divides by zero. Say it again.")
        part = amount(f"{percent} %").magnitude / 100 if percent else Decimal(upper) / Decimal(lower)
        return _level(part, text)
    return level_of(written_as_words(text))


def _of_marks(above_low: Amount, marks: Amount, text: str) -> Level:
    whole = convert(marks, "millimetre").magnitude
    if whole <= 0:
        raise ReadingError(f"{text!r}: the marks can't be nothing apart", say="How far apart are the marks?")
    return _level(convert(above_low, "millimetre").magnitude / whole, text)


def _level(part: Decimal, text: str) -> Level:
    if not Decimal("-0.5") <= part <= Decimal("1.5"):
        raise ReadingError(
            f"{text} is outside -50 % to 150 % of the span", say="The dipstick can't show that. Read it again."
        )
    return Level(part - Decimal("0.125"), part + Decimal("0.125"), text)


def _within(wanted: Input, value: Amount) -> Amount:
    least = amount(wanted.least, value.kind) if wanted.least else Amount(Decimal(0), value.unit, value.kind)
    most = amount(wanted.most, value.kind)
    low, high = (convert(bound, value.unit).magnitude for bound in (least, most))
    if not value.magnitude.is_finite() or not low <= value.magnitude <= high:
        raise ReadingError(
            f"{write_amount(value)} is outside {write_amount(least)} to {write_amount(most)}. It is: {wanted.means}",
            say=_outside(value, least, most),
        )
    return value


_MOST_WORDS = 15
"""What a person keeps of a refusal. Longer ones leave out what was heard."""


def _outside(value: Amount, least: Amount, most: Amount) -> str:
    bounds = f"It must be {say_amount(least)} to {say_amount(most)}."
    whole = f"{say_amount(value)} can't be. {bounds}" if value.magnitude.is_finite() else bounds
    for text in (whole[0].upper() + whole[1:], bounds):
        if len(text.split()) <= _MOST_WORDS:
            return text
    return "That can't be right. Read it again."
