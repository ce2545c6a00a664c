"""How much oil lies between the dipstick's marks, from readings and what was poured in between them. Pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.amounts.levels import read_level
from assistant.core.amounts.listing import listed
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Result
from assistant.core.compute.base.straight_line import fitted
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Kind, Level

_OFF = 0.07
"""Standard error of one reading, as a share of the span: an eighth to either side, evenly spread (0.125/√3)."""
CAUSES = "the car was not level, the oil had not run down, some ran out or was spilt, or a mark was misread"


def span_from_readings(readings: str, units: str | None = None) -> Result:
    """Return the volume between the marks, by least squares, with its standard error.

    Parameters
    ----------
    readings : str
        Each reading with all that was poured in until then: "near low: 3.5 L, halfway: 3.9 L, 85 %: 4.2 L".
    units : str | None
        Whose a quart is.

    Raises
    ------
    ReadingError
        For fewer than two readings, readings that can't be read, and where the level did not rise with the oil, or
        one reading is farther from the line than three times its error; it names the likely causes.
    """
    points = [_point(text, units) for text in listed(readings)]
    line = fitted(points, _OFF)
    if line.slope <= 0:
        raise ReadingError(f"the level did not rise with what was poured in: {CAUSES}", say="Poured and read disagree.")
    farthest = max(abs(level - line.start - line.slope * litres) for litres, level in points)
    if farthest > 3 * _OFF:
        raise ReadingError(
            f"a reading lies {farthest:.0%} of the span from the others: {CAUSES}",
            say="Poured and read disagree. Is the car level? Has the oil settled?",
        )
    return Result(
        value=amount_of(1 / line.slope, "litre"),
        uncertainty=amount_of(line.slope_error / line.slope**2, "litre"),
        because="It is how much oil moved the level from mark to mark.",
        inputs=(("readings", readings),),
        more=(("readings used", amount_of(len(points), "one")),),
        assumptions=("each reading is good to an eighth of the span (common practice, no source)",),
        cautions=("The manual's amount goes before this one.",),
        source="least squares",
    )


def _point(text: str, units: str | None) -> tuple[float, float]:
    said, sign, poured = text.partition(":")
    if not sign:
        raise ReadingError(
            f"{text.strip()!r}: write a reading, a colon, and what was poured in until then: near low: 3.5 L",
            say="Tell me each reading with what was poured in.",
        )
    level: Level = read_level(said.strip())
    middle = (level.lowest + level.highest) / Decimal(2)
    return real(read_amount(poured.strip(), Kind.VOLUME, units), "litre"), float(middle)


CALCULATIONS = (
    Calculation(
        name="dipstick-span",
        subject="oil-level",
        title="how much oil lies between the marks, from readings and pours",
        inputs=(Input("readings", Form.TEXT, "each reading, a colon, all that was poured in until then"),),
        work=span_from_readings,
        example={"readings": "1/8: 3.5 L, 1/2: 3.9 L, 7/8: 4.2 L"},
        formula="least squares of level against volume; span = 1/slope",
        source="arithmetic of least squares",
        valid="two readings or more, on level ground, settled",
        reads=True,
    ),
)
