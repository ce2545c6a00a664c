"""What a reading between a low and a full mark means, whatever fluid it is of. Pure; a reading is an interval."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.jug import volume_in
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, Level, convert

HIGH_ENOUGH = Decimal("0.625")
"""A reading whose middle is at least here needs no more oil. Common practice, no source: the upper half is good."""

FULL_TOLERANCE = Decimal("0.1")
"""How far above the full mark a reading "at full" may reach. Common practice, no source: the width of the mark."""

OLD_LEFT = Decimal("0.3")
"""Litres of the old fluid that may stay behind when it drains. Common practice, no source."""

APART = Decimal("0.25")
"""How far apart, as a share of the span, reading and expectation are before they are doubted.

Common practice, no source: twice what a reading in words is good to."""


def checked(level: Level) -> Level:
    """Return a reading, if it is one; ReadingError otherwise."""
    if not (level.lowest.is_finite() and level.highest.is_finite() and level.lowest <= level.highest):
        raise ReadingError(
            f"{level.lowest} to {level.highest} is no reading of a dipstick: the lower end comes first",
            say="That is no reading of a dipstick. Wipe it, and read it again.",
        )
    return level


def status(level: Level) -> str:
    """Return `low` where some is to be added, `over` where some is to be drawn off, else `ok`."""
    checked(level)
    if level.highest > 1 + FULL_TOLERANCE:
        return "over"
    return "low" if (level.lowest + level.highest) / 2 < HIGH_ENOUGH else "ok"


def span_in(span: Amount, unit: str) -> Decimal:
    """Return how much lies between the marks, in a unit of volume; ReadingError where that can't be."""
    marks = volume_in(span, unit)
    if not marks.is_finite() or marks <= 0:
        raise ReadingError(
            f"{span.magnitude} {span.unit} can't lie between the marks: it must be above zero",
            say="The amount between the marks must be more than nothing.",
        )
    return marks


def expected(poured: Amount, capacity: Amount, span: Amount) -> Level:
    """Return where the level should stand after an amount was poured in, with some of the old left behind or not."""
    marks = span_in(span, span.unit)
    missing = convert(capacity, span.unit).magnitude - convert(poured, span.unit).magnitude
    left = convert(Amount(OLD_LEFT, "litre", Kind.VOLUME), span.unit).magnitude
    return Level(1 - missing / marks, 1 - (missing - left) / marks, "expected")


def disagreement(
    level: Level, poured: Amount, capacity: Amount, span: Amount, fluid: str = "oil", vehicle: str = "the car"
) -> str:
    """Return what a reading that does not fit the poured amount may mean; empty where it fits.

    Reading and expectation are intervals; they disagree where they are more than `APART` from one another.
    """
    should = expected(poured, capacity, span)
    if checked(level).highest + APART < should.lowest:
        return f"That is lower than what you poured. Is {vehicle} level, has the {fluid} settled? Look for a leak."
    if level.lowest - APART > should.highest:
        return f"That is higher than what you poured. Did all the old {fluid} run out? Is the capacity right?"
    return ""
