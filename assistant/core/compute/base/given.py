"""What a person gives to a computation, said or typed, as exact values. Refuses what makes no sense; never clamps."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Context, Decimal
from difflib import get_close_matches

from assistant.core.amounts.figures import plain
from assistant.core.amounts.levels import read_level
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.errors import ReadingError
from assistant.core.quantities.saying import say_amount
from assistant.core.quantities.units import Amount, Level, Value, amount, convert, write_amount


def read_inputs(
    calculation: Calculation, given: Mapping[str, str], system: str | None
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
    return {
        each.name.replace("-", "_"): read_input(
            each, given.get(each.name), system, calculation.example.get(each.name, "")
        )
        for each in calculation.inputs
    }


def check_inputs(
    calculation: Calculation, given: Mapping[str, Value | str | date], system: str | None
) -> dict[str, Value | str | date | None]:
    """Return every input of a computation by the name of its parameter, where most of them are no text any more.

    ReadingError for one that is missing, of another kind, or outside of what makes sense. What is a text is read.
    """
    return {each.name.replace("-", "_"): _checked(each, given.get(each.name), system) for each in calculation.inputs}


def _checked(wanted: Input, value: Value | str | date | None, system: str | None) -> Value | str | date | None:
    match value:
        case None | str():
            return read_input(wanted, value, system, "")
        case Amount() if wanted.takes is Form.TEXT:
            return _text(wanted, write_amount(value))
        case Amount() if wanted.takes is Form.AMOUNT:
            return value
        case Amount() if wanted.takes is value.kind:
            return _within(wanted, value)
        case Level() if wanted.takes is Form.LEVEL:
            return value
        case date() if wanted.takes is Form.DAY:
            return value
        case _:
            raise ReadingError(f"{wanted.name} takes a {wanted.takes}, and {value} is none")


def read_input(wanted: Input, text: str | None, system: str | None, example: str) -> Value | str | date | None:
    """Return one input of a computation; ReadingError for one that is missing, and one that can't be."""
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
        shown = f". For instance: {wanted.name}='{example}'" if example and "for instance" not in str(error) else ""
        raise ReadingError(f"{wanted.name}: {error}{shown}", say=error.say) from error


def _value(wanted: Input, text: str, system: str | None) -> Value | str | date:
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
        same = [option for option in wanted.options if _plain(option) == _plain(text)]
        if len(same) == 1:
            return same[0]
        near = get_close_matches(text, wanted.options, 1)
        raise ReadingError(
            f"{text!r} is not known" + (f"; did you mean {near[0]!r}?" if near else "")
            + f" Choose one of: {', '.join(wanted.options)}.",
            say=f"I do not know that {wanted.name.replace('-', ' ')}. Say another.",
        )  # fmt: skip
    return text


def _plain(text: str) -> str:
    """Return a text as options are compared: "dot 4" is DOT4, but a point and a sign keep their meaning."""
    return re.sub(r"[ -]", "", plain(text)).lower()


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ReadingError(
            f"{text!r} is no date: write it as year-month-day, for instance 2026-03-14",
            say="I can't read that date. Say the year, the month and the day.",
        ) from error


def _within(wanted: Input, value: Amount) -> Amount:
    least = amount(wanted.least, value.kind) if wanted.least else Amount(Decimal(0), value.unit, value.kind)
    most = amount(wanted.most, value.kind)
    low, high = (convert(bound, value.unit).magnitude for bound in (least, most))
    if not value.magnitude.is_finite() or not low <= value.magnitude <= high:
        least, most = (_in_unit_of(value, bound) for bound in (least, most))
        raise ReadingError(
            f"{write_amount(value)} is outside {write_amount(least)} to {write_amount(most)}. It is: {wanted.means}",
            say=_outside(value, least, most),
        )
    return value


_DIGITS = Context(prec=4)
"""Digits of a bound that was turned into another unit."""


def _in_unit_of(value: Amount, bound: Amount) -> Amount:
    """Return a bound in the unit in which the value was given, so that the two can be compared."""
    if bound.unit == value.unit:
        return bound
    turned = _DIGITS.create_decimal(convert(bound, value.unit).magnitude).normalize()
    return Amount(Decimal(f"{turned:f}"), value.unit, value.kind)


_MOST_WORDS = 15
"""What a person keeps of a refusal. Longer ones leave out what was heard."""


def _outside(value: Amount, least: Amount, most: Amount) -> str:
    bounds = f"It must be {say_amount(least)} to {say_amount(most)}."
    whole = f"{say_amount(value)} can't be. {bounds}" if value.magnitude.is_finite() else bounds
    for text in (whole[0].upper() + whole[1:], bounds):
        if len(text.split()) <= _MOST_WORDS:
            return text
    return "That can't be right. Read it again."
