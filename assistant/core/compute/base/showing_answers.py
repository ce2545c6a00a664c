"""An answer as lines for the eye, as words for the ear, and as a record for a program; and a page of help."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from decimal import Context
from typing import Any

from assistant.core.compute.base.calculation import SUBJECTS, Calculation, Input
from assistant.core.compute.base.in_system import bound_in, example_in
from assistant.core.compute.base.real import plainly
from assistant.core.compute.base.result import Answer, Result
from assistant.core.compute.base.spoken import say_answer
from assistant.core.quantities.units import SYMBOLS, Amount, Kind

_MOST_PLACES = 5
"""Decimals that a measured value can have: a hundredth of a micrometre, or of a millivolt, is none."""
_DIGITS = Context(prec=4)
"""Digits that are shown of a computed value; whole numbers are shown whole. No tool of a workshop shows more."""


def rounded(value: Amount, inputs: tuple[tuple[str, Amount | str], ...] = ()) -> Amount:
    """Return an amount with four digits, never with less than its whole number, and never coarser than the inputs.

    What was measured to the thousandth of a millimetre is not told to the tenth.
    """
    measured = [given for _, given in inputs if isinstance(given, Amount) and given.unit == value.unit]
    places = max((-int(given.magnitude.as_tuple().exponent) for given in measured), default=0)
    short = _DIGITS.create_decimal(value.magnitude)
    if abs(value.magnitude) >= 1000:
        short = value.magnitude.to_integral_value()
    if -int(short.as_tuple().exponent) < places <= _MOST_PLACES:
        short = round(value.magnitude, places)
    return Amount(plainly(short), value.unit, value.kind)


def show(value: Amount | str, inputs: tuple[tuple[str, Amount | str], ...] = ()) -> str:
    """Return a value in figures, for instance `44.44 lbf·ft`; words as they are."""
    if isinstance(value, str):
        return value
    number = f"{rounded(value, inputs).magnitude}"
    return number if value.kind is Kind.COUNT else f"{number} {SYMBOLS[value.unit]}"


def spoken(answer: Answer) -> str:
    """Return an answer for the ear, in words alone."""
    value = answer.value
    more = {name: _rounded(each, answer) for name, each in answer.more}
    return say_answer(answer, _rounded(value, answer), more)


def _rounded(value: Amount | str, answer: Answer) -> Amount | str:
    return rounded(value, answer.inputs) if isinstance(value, Amount) else value


def _as_given(value: Amount | str) -> str:
    """Return an input as it was given: nothing that was measured is rounded."""
    if isinstance(value, str):
        return value
    plain = f"{value.magnitude:f}"
    plain = plain.rstrip("0").rstrip(".") if "." in plain else plain
    return plain if value.kind is Kind.COUNT else f"{plain} {SYMBOLS[value.unit]}"


def answer_lines(answer: Answer) -> Iterator[str]:
    """Yield an answer for the eye, a line for each thing; the value comes first."""
    off = answer.uncertainty if isinstance(answer, Result) else None
    yield show(answer.value, answer.inputs) + (f" ± {show(off)}" if off else "")
    yield from (f"{name}: {show(value, answer.inputs)}" for name, value in answer.more)
    yield from (f"careful: {text}" for text in answer.cautions)
    yield f"why: {answer.because}"
    if answer.inputs:
        yield "given: " + ", ".join(f"{name} {_as_given(value)}" for name, value in answer.inputs)
    yield from (f"assumed: {text}" for text in answer.assumptions)
    if answer.source:
        yield f"source: {answer.source}"


def answer_record(calculation: Calculation, answer: Answer) -> dict[str, Any]:
    """Return an answer for a program; amounts are exact, as texts, with their units."""
    uncertainty = answer.uncertainty if isinstance(answer, Result) else None
    return {
        "calculation": calculation.name,
        "value": _plain(answer.value),
        "uncertainty": _plain(uncertainty) if uncertainty else None,
        "more": {name: _plain(value) for name, value in answer.more},
        "say": spoken(answer),
        "cautions": list(answer.cautions),
        "because": answer.because,
        "inputs": {name: _plain(value) for name, value in answer.inputs},
        "assumptions": list(answer.assumptions),
        "source": answer.source,
    }


def _plain(value: Amount | str) -> dict[str, str] | str:
    if isinstance(value, str):
        return value
    return {"magnitude": f"{value.magnitude:f}", "unit": SYMBOLS[value.unit]}


def page(calculation: Calculation, answer: Answer, system: str | None = None) -> Iterator[str]:
    """Yield the help of a computation: what it takes, what it rests on, and its example with the answer to it.

    The bounds and the example are in the units of a system, where one is named.
    """
    yield f"{calculation.name}: {calculation.title}."
    yield ""
    width = max(len(each.name) for each in calculation.inputs)
    yield from (f"  {each.name:{width}}  {_takes(each, system)}" for each in calculation.inputs)
    yield ""
    yield f"formula: {calculation.formula}"
    yield f"source: {calculation.source}"
    yield f"holds: {calculation.valid}"
    yield ""
    yield "Example:"
    given = " ".join(f"{name}={shlex.quote(value)}" for name, value in example_in(calculation, system).items())
    units = f" --units {system}" if system else ""
    yield f"  assistant work-out {calculation.name} {given}{units}"
    yield from (f"  {line}" for line in answer_lines(answer))
    yield ""
    yield "The service manual of the vehicle goes before what is worked out here."


def _takes(each: Input, system: str | None) -> str:
    parts = [each.means]
    if isinstance(each.takes, Kind):
        parts.append(f"{bound_in(each.least, system) or '0'} to {bound_in(each.most, system)}")
    if each.options:
        parts.append(f"one of: {', '.join(each.options)}")
    if each.default is not None:
        parts.append(
            f"without it: {each.default if each.options else bound_in(each.default, system)}"
            if each.default
            else "may be left out"
        )
    return "; ".join(parts)


def listing(calculations: tuple[Calculation, ...]) -> Iterator[str]:
    """Yield what can be worked out, by subject."""
    for key, title in SUBJECTS.items():
        mine = [calculation for calculation in calculations if calculation.subject == key]
        if mine:
            yield f"{title}:"
            yield from (f"  {calculation.name}: {calculation.title}" for calculation in mine)


def listing_record(calculation: Calculation, system: str | None = None) -> dict[str, Any]:
    """Return what a computation takes, for a program; in the units of a system, where one is named."""
    return {
        "name": calculation.name,
        "subject": calculation.subject,
        "title": calculation.title,
        "inputs": [{"name": each.name, "takes": str(each.takes), "means": each.means,
                    "least": bound_in(each.least, system),
                    "most": bound_in(each.most, system), "default": each.default, "options": list(each.options)}
                   for each in calculation.inputs],
        "example": example_in(calculation, system),
        "source": calculation.source,
    }  # fmt: skip
