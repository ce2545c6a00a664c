"""A straight line through points, by least squares, with the uncertainty of its slope. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt

from assistant.core.errors import ReadingError


@dataclass(frozen=True, slots=True)
class Line:
    """y = start + slope·x, with the standard error of the slope."""

    start: float
    slope: float
    slope_error: float


def fitted(points: Sequence[tuple[float, float]], least_scatter: float = 0.0) -> Line:
    """Return the line of least squares through points.

    Parameters
    ----------
    points : sequence of (x, y)
        Two or more, not all at one x.
    least_scatter : float
        How far one y is off at least: what the points show is not believed below that.

    Raises
    ------
    ReadingError
        For fewer points, or where all have one x.

    References
    ----------
    Ordinary least squares; s² = Σr²/(n - 2), s_slope = s/√Sxx.
    """
    count = len(points)
    if count < 2:
        raise ReadingError("two readings at least make a line", say="I need two readings at least.")
    middle_x, middle_y = (fsum(point[axis] for point in points) / count for axis in (0, 1))
    spread = fsum((x - middle_x) ** 2 for x, _ in points)
    if spread == 0:
        raise ReadingError("all readings are at one place: nothing lies between", say="I need readings that differ.")
    slope = fsum((x - middle_x) * (y - middle_y) for x, y in points) / spread
    start = middle_y - slope * middle_x
    left = fsum((y - start - slope * x) ** 2 for x, y in points)
    scatter = max(sqrt(left / (count - 2)) if count > 2 else 0.0, least_scatter)
    return Line(start, slope, scatter / sqrt(spread))
