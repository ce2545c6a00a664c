"""Looking things up in a table: a row by what is in it, a value between two rows. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from assistant.core.compute.base.calculation import Row
from assistant.core.errors import ReadingError


def rows_where(table: Sequence[Row], **wanted: str) -> Iterator[Row]:
    """Yield the rows of a table with those texts in those columns."""
    return (row for row in table if all(row[column] == text for column, text in wanted.items()))


def row_where(table: Sequence[Row], **wanted: str) -> Row | None:
    """Return the first row of a table with those texts in those columns; None where there is none."""
    return next(rows_where(table, **wanted), None)


def points(table: Sequence[Row], across: str, up: str, **wanted: str) -> list[tuple[float, float]]:
    """Return two columns of a table as points, of the rows with those texts in those columns."""
    return [(float(row[across]), float(row[up])) for row in rows_where(table, **wanted)]


def between(at: float, line: Sequence[tuple[float, float]], what: str) -> float:
    """Return the value at a place, on a straight line between the points beside it; points in rising order.

    ReadingError for a place outside of the table; `what` names it.
    """
    for (low, first), (high, second) in pairwise(line):
        if low <= at <= high:
            return first + (second - first) * (at - low) / (high - low)
    raise ReadingError(
        f"{what} of {at:.4g} is outside of the table, {line[0][0]:g} to {line[-1][0]:g}",
        say=f"My table does not go that far. Measure the {what} again.",
    )
