"""Brake pads and discs: how far they still go, and whether a disc is within its limits. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import sqrt

from assistant.core.compute.base.calculation import Calculation, Input, Row
from assistant.core.compute.base.lookup import rows_where
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result, verdict
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

_CARE = "If in doubt, do not drive. Brakes are judged by the service manual."


def remaining(before: Amount, now: Amount, driven: Amount, least: Amount, accuracy: Amount) -> Result:
    """Return how far a pad or a disc still goes at the same wear; the wear in 1000 km under `wear`.

    Parameters
    ----------
    before, now : Amount
        Thickness at the first and at the second measuring [length].
    driven : Amount
        Distance between the two [distance].
    least : Amount
        Least thickness that is allowed, from the manual or stamped on the disc [length].
    accuracy : Amount
        How far a measurement may be off to either side [length].

    Returns
    -------
    Result
        A distance [unit of the one driven], rounded down to a whole one, with its uncertainty from the accuracy.

    Raises
    ------
    ReadingError
        Where the wear is not above what the two measurements may be off together, or nothing is left.
    """
    first, last, bound, off = (real(each, "millimetre") for each in (before, now, least, accuracy))
    wear, spread = first - last, off * sqrt(2)
    if last < bound:
        raise ReadingError(
            f"{write_amount(now)} is below the least of {write_amount(least)}: replace it before you drive",
            say="It is below its least. Replace it before you drive.",
        )
    if wear <= spread or driven.magnitude <= 0:
        raise ReadingError(
            f"a wear of {wear:.3g} mm is not more than measuring may be off, {spread:.3g} mm: drive on, measure again",
            say="That is too little wear to tell. Measure again later.",
        )
    distance = float(driven.magnitude)
    left = last - bound
    value = left / wear * distance
    # first and last are both off; last stands in both the rest and the wear
    by_first = left / wear**2 * distance * off
    by_last = (1 / wear + left / wear**2) * distance * off
    return Result(
        value=Amount(Decimal(int(value)), driven.unit, Kind.DISTANCE),
        uncertainty=amount_of(float(int(sqrt(by_first**2 + by_last**2) + 1)), driven.unit),
        because="It is what is left, at the wear between your two measurements.",
        inputs=(("before", before), ("now", now), ("driven", driven), ("least", least), ("accuracy", accuracy)),
        more=(
            ("wear", amount_of(wear / real(driven, "kilometre") * 1000, "millimetre")),
            ("left", amount_of(left, "millimetre")),
        ),
        also="{left} are left.",
        assumptions=("it wears evenly, as it did between the two", "the inner pad may be thinner: measure both"),
        cautions=(_CARE,),
        source="a straight line through two measurements; first-order propagation of their errors",
    )


def disc(
    thinnest: Amount,
    thickest: Amount,
    least: Amount,
    runout: Amount,
    most_variation: Amount | None,
    most_runout: Amount | None,
    disc_limits: Sequence[Row],
) -> Finding:
    """Return whether a disc may stay, by its thickness, its variation and its run-out; the variation is `variation`.

    Without a limit of the car, it may stay for sure within the strictest of several manuals, and may not beyond the
    mildest; between the two the answer is to read the manual.

    Parameters
    ----------
    thinnest, thickest : Amount
        Of at least eight places around the disc [length].
    least : Amount
        Stamped on the disc [length].
    runout : Amount
        Whole swing of a dial gauge on the face [length].
    most_variation, most_runout : Amount, optional
        Limits of the vehicle's manual [length].

    Raises
    ------
    ReadingError
        For a thinnest place that is thicker than the thickest.
    """
    unit = "millimetre"
    low, high, bound, swing = (convert(each, unit).magnitude for each in (thinnest, thickest, least, runout))
    if low > high:
        raise ReadingError(
            f"the thinnest place, {write_amount(thinnest)}, is thicker than the thickest, {write_amount(thickest)}",
            say="The thinnest can't be thicker than the thickest. Measure again.",
        )
    vary = _limits("variation", most_variation, disc_limits)
    wobble = _limits("runout", most_runout, disc_limits)
    faults = [
        text
        for text, wrong in (
            ("it is thinner than its least", low < bound),
            ("its thickness varies too much", high - low > vary[1]),
            ("it wobbles too much", swing > wobble[1]),
        )
        if wrong
    ]
    sure = high - low <= vary[0] and swing <= wobble[0]
    good = "It may stay." if sure else "Makers differ there. Read the limits in the service manual."
    return Finding(
        value=verdict(faults, good),
        because="I compared it with its limits.",
        inputs=(("thinnest", thinnest), ("thickest", thickest), ("least", least), ("runout", runout)),
        more=(("variation", Amount(high - low, unit, Kind.LENGTH)), ("left", Amount(low - bound, unit, Kind.LENGTH))),
        also="Its thickness varies by {variation}." + (" {left} are left." if low >= bound else ""),
        assumptions=(
            f"{_told('variation', vary)}, {_told('run-out', wobble)}",
            "the least is that for use, not that for machining",
        ),
        cautions=(_CARE, "Clean hub and disc before you measure run-out."),
        source="the limits that were given; without them those of the service manuals of three cars, 1999 to 2004",
    )


def _limits(what: str, given: Amount | None, rows: Sequence[Row]) -> tuple[Decimal, Decimal]:
    """Return up to where it is good for sure, and from where it is bad [millimetre]."""
    if given is not None:
        return (limit := convert(given, "millimetre").magnitude), limit
    known = [Decimal(row["most"]) for row in rows_where(rows, what=what)]
    return min(known), max(known)


def _told(what: str, limits: tuple[Decimal, Decimal]) -> str:
    strict, mild = limits
    return (
        f"{what} at most {strict} mm" if strict == mild else f"{what} at most {strict} to {mild} mm, as makers differ"
    )


def pads(thinnest: Amount, least: Amount) -> Finding:
    """Return whether brake pads may stay, by the thinnest of all four of an axle."""
    spare = convert(thinnest, "millimetre").magnitude - convert(least, "millimetre").magnitude
    text = "Replace all pads of the axle before you drive." if spare < 0 else "They may stay."
    return Finding(
        value="They are at their least. Replace all pads of the axle now." if spare == 0 else text,
        because=f"The least is {write_amount(least)}.",
        inputs=(("thinnest", thinnest), ("least", least)),
        more=(("left", Amount(spare, "millimetre", Kind.LENGTH)),),
        also="{left} are left." if spare > 0 else "",
        assumptions=("the lining alone, without its steel back",),
        cautions=(_CARE, "Pads are replaced on both sides of an axle."),
        source="compared with the least that was given",
    )


_LEAST = Input("least", Kind.LENGTH, "least thickness, stamped or in the manual", least="0.5 mm", most="60 mm")

CALCULATIONS = (
    Calculation(
        name="brake-distance-left",
        subject="brakes",
        title="how far pads or a disc still go",
        inputs=(
            Input("before", Kind.LENGTH, "thickness at the first measuring", most="60 mm"),
            Input("now", Kind.LENGTH, "thickness now", most="60 mm"),
            Input("driven", Kind.DISTANCE, "between the two", least="100 km", most="300000 km"),
            _LEAST,
            Input("accuracy", Kind.LENGTH, "how far one measurement may be off", most="2 mm", default="0.1 mm"),
        ),
        work=remaining,
        example={"before": "11 mm", "now": "7 mm", "driven": "20000 km", "least": "3 mm"},
        formula="(now − least)/(before − now)·driven",
        source="arithmetic of a straight line, with propagation of errors",
        valid="wear above what measuring may be off",
    ),
    Calculation(
        name="brake-disc",
        subject="brakes",
        title="whether a disc may stay: thickness, variation, run-out",
        inputs=(
            Input("thinnest", Kind.LENGTH, "thinnest of eight places", most="60 mm"),
            Input("thickest", Kind.LENGTH, "thickest of eight places", most="60 mm"),
            _LEAST,
            Input("runout", Kind.LENGTH, "whole swing of the dial gauge", most="5 mm"),
            Input("most-variation", Kind.LENGTH, "limit of the manual", most="1 mm", default=""),
            Input("most-runout", Kind.LENGTH, "limit of the manual", most="1 mm", default=""),
        ),
        work=disc,
        example={
            "thinnest": "22.10 mm",
            "thickest": "22.11 mm",
            "least": "22 mm",
            "runout": "0.05 mm",
            "most-variation": "0.015 mm",
            "most-runout": "0.1 mm",
        },
        formula="compared with the limits",
        source="the limits that are given; without them those of three cars' manuals, 1999 to 2004",
        valid="discs on a clean hub",
        tables=("disc-limits",),
    ),
    Calculation(
        name="brake-pads",
        subject="brakes",
        title="whether pads may stay",
        inputs=(
            Input("thinnest", Kind.LENGTH, "lining of the thinnest pad of the axle", most="30 mm"),
            Input("least", Kind.LENGTH, "least of the manual", least="0.5 mm", most="20 mm"),
        ),
        work=pads,
        example={"thinnest": "4 mm", "least": "2 mm"},
        formula="compared with the least",
        source="arithmetic",
        valid="pads without their backing plate",
    ),
)
