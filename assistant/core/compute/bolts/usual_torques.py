"""What makers print for spark plugs and wheel nuts, where the service manual is not at hand. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import row_where, rows_where
from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind


def spark_plug(seat: str, thread: str, head: str, spark_plugs: Sequence[Row]) -> Result:
    """Return the least torque of a spark plug, and the most under `most` [foot pound].

    ReadingError for a seat, thread and head that the table does not have together; it names the threads that it has,
    the nearest first.

    References
    ----------
    NGK, "Correctly install spark plugs".
    """
    row = row_where(spark_plugs, seat=seat, thread=thread.replace(" ", "").upper(), head=head)
    if row is None:
        known = sorted(
            {row["thread"] for row in rows_where(spark_plugs, seat=seat)}, key=lambda each: _away(each, thread)
        )
        raise ReadingError(
            f"no {thread!r} plug with a {seat} seat in {head} is in the table: look on its box. "
            f"There are, the nearest first: {', '.join(known)}.",
            say="I have no torque for that plug. Look on its box.",
        )
    return _range(
        row,
        (("seat", seat), ("thread", thread), ("head", head)),
        "NGK, Correctly install spark plugs",
        "Cold engine, and no grease on the thread, unless the plug's maker says other.",
    )


def _away(known: str, thread: str) -> tuple[float, float]:
    """Return how far a thread is from the one that was given, by its diameter; smaller ones first where alike."""
    diameter, given = float(known[1:]), re.search(r"\d+(?:\.\d+)?", thread)
    return (abs(diameter - float(given.group())) if given else 0.0, diameter)


def wheel_nut(stud: str, wheel_studs: Sequence[Row]) -> Result:
    """Return the least usual torque of a wheel nut by its stud, and the most under `most` [foot pound].

    References
    ----------
    An aftermarket chart (adaptitusa.com): a last resort.
    """
    row = row_where(wheel_studs, stud=stud)
    if row is None:
        raise ReadingError(f"no stud of {stud} is in the table", say="I have no torque for that stud.")
    return _range(row, (("stud", stud),), "chart of adaptitusa.com", "The vehicle's own torque goes before this one.")


def _range(row: Row, inputs: tuple[tuple[str, str], ...], source: str, caution: str) -> Result:
    least, most = (Amount(Decimal(row[end]), "foot_pound", Kind.TORQUE) for end in ("least", "most"))
    return Result(
        value=least,
        because="It is the lower end of what the table prints.",
        inputs=inputs,
        more=(("most", most),),
        also="The upper end is {most}.",
        cautions=(caution,),
        source=source,
    )


CALCULATIONS = (
    Calculation(
        name="spark-plug-torque",
        subject="torque",
        title="what a maker of spark plugs prints",
        inputs=(
            Input("seat", Form.TEXT, "of the plug", options=("gasket", "conical")),
            Input("thread", Form.TEXT, "of the plug: M8, M10, M12, M14 or M18"),
            Input("head", Form.TEXT, "what the cylinder head is made of", options=("iron", "aluminium")),
        ),
        work=spark_plug,
        example={"seat": "gasket", "thread": "M14", "head": "aluminium"},
        formula="looked up",
        source="NGK, Correctly install spark plugs",
        valid="new plugs on a clean dry thread",
        tables=("spark-plugs",),
    ),
    Calculation(
        name="wheel-nut-torque",
        subject="torque",
        title="a usual torque of wheel nuts, as a last resort",
        inputs=(
            Input("stud", Form.TEXT, "size of the stud",
                  options=("10 mm", "12 mm", "14 mm", "7/16 in", "1/2 in", "9/16 in")),
        ),
        work=wheel_nut,
        example={"stud": "12 mm"},
        formula="looked up",
        source="chart of adaptitusa.com",
        valid="only until the manual is at hand",
        tables=("wheel-studs",),
    ),
)  # fmt: skip
