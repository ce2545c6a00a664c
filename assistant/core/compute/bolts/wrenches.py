"""Whether a torque wrench is fit for a torque, and what a bolt really gets from it. Pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Input
from assistant.core.compute.base.result import Result
from assistant.core.compute.bolts.torque import permissible_deviation
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

LEAST_CHECKED = Decimal("0.2")
"""ISO 6789 has a wrench checked at 20, 60 and 100 % of its greatest torque; below 20 % nothing is promised."""


def applied(wanted: Amount, smallest: Amount, greatest: Amount) -> Result:
    """Return what a wrench in order may be off at a torque; the bounds of what the bolt gets are `least` and `most`.

    Parameters
    ----------
    wanted : Amount
        What the wrench is set to [torque], above zero.
    smallest, greatest : Amount
        Ends of its scale [torque].

    Raises
    ------
    ReadingError
        For a torque outside the scale, below a fifth of its end, or a scale whose ends are the wrong way round.

    References
    ----------
    ISO 6789, type II class A: 4 % above 10 N·m, 6 % at or below (manual of a torque wrench, Facom S.325DA).
    """
    low, high = (convert(end, wanted.unit).magnitude for end in (smallest, greatest))
    floor = max(low, high * LEAST_CHECKED)
    if not 0 < low < high:
        raise ReadingError(
            f"a scale from {write_amount(smallest)} to {write_amount(greatest)} can't be: the smaller end comes first",
            say="The smaller end of the scale comes first. Read it again.",
        )
    if not floor <= wanted.magnitude <= high:
        raise ReadingError(
            f"{write_amount(wanted)} is outside what that wrench is checked for, {floor:.4g} to {high:.4g} "
            f"{wanted.unit}: take another wrench",
            say="That wrench is not made for that torque. Take another one.",
        )
    off = wanted.magnitude * permissible_deviation(wanted)
    return Result(
        value=Amount(off, wanted.unit, Kind.TORQUE),
        because="It is what a wrench that was checked may be off to either side.",
        inputs=(("wanted", wanted), ("smallest", smallest), ("greatest", greatest)),
        more=(
            ("least", Amount(wanted.magnitude - off, wanted.unit, Kind.TORQUE)),
            ("most", Amount(wanted.magnitude + off, wanted.unit, Kind.TORQUE)),
        ),
        also="The bolt gets {least} to {most}.",
        assumptions=("the wrench was checked in the last 12 months or 5000 pulls (ISO 6789, by norbar.com)",),
        cautions=("Pull slowly, and stop at the click.",),
        source="ISO 6789, type II class A",
    )


_LEAST, _MOST = "0.1 N·m", "2000 N·m"

CALCULATIONS = (
    Calculation(
        name="wrench-check",
        subject="torque",
        title="whether a torque wrench is fit for a torque, and what the bolt really gets",
        inputs=(
            Input("wanted", Kind.TORQUE, "what the wrench is to be set to", _LEAST, _MOST),
            Input("smallest", Kind.TORQUE, "least on its scale", _LEAST, _MOST),
            Input("greatest", Kind.TORQUE, "most on its scale", _LEAST, _MOST),
        ),
        work=applied,
        example={"wanted": "110 N·m", "smallest": "40 N·m", "greatest": "200 N·m"},
        formula="4 % above 10 N·m, else 6 %",
        source="ISO 6789, type II class A (manual of a torque wrench, Facom S.325DA)",
        valid="from a fifth of the end of the scale to its end",
    ),
)
