"""Looking up between the lines of a table. Pure; outside of the table it refuses."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from assistant.core.errors import ReadingError


def between(at: float, points: Sequence[tuple[float, float]], what: str) -> float:
    """Return the value at a place, on a straight line between the points beside it; points in rising order.

    ReadingError for a place outside of the table; `what` names it.
    """
    for (low, first), (high, second) in pairwise(points):
        if low <= at <= high:
            return first + (second - first) * (at - low) / (high - low)
    raise ReadingError(
        f"{what} of {at:.4g} is outside of the table, {points[0][0]:g} to {points[-1][0]:g}",
        say=f"My table does not go that far. Measure the {what} again.",
    )
