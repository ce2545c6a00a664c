"""When a job is next due: by distance, and by date. Pure; the day is given, never asked for.

A person is told both, for which of them comes first depends on how they drive.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import MAXYEAR, date
from decimal import ROUND_FLOOR, Decimal

from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

LONGEST_MONTHS = 120
"""No service plan leaves oil in an engine for longer. Common practice, no source."""


def due_distance(odometer: Amount, interval_distance: Amount) -> Result:
    """Return the odometer reading at which the job is next due, rounded down to a whole unit of the odometer.

    Raises
    ------
    ReadingError
        For a kind other than distance, a negative odometer, or an interval that is not above zero.
    """
    now, step = odometer.magnitude, convert(interval_distance, odometer.unit).magnitude
    if odometer.kind is not Kind.DISTANCE or not (now.is_finite() and step.is_finite() and now >= 0 and step > 0):
        raise ReadingError(
            f"an odometer at {odometer.magnitude} {odometer.unit} and an interval of {interval_distance.magnitude} "
            f"{interval_distance.unit} give no distance: the odometer is at least zero, and the interval above it",
            say="The odometer and the interval must be distances above zero. Read them again.",
        )
    return Result(
        value=Amount((now + step).quantize(Decimal(1), ROUND_FLOOR), odometer.unit, Kind.DISTANCE),
        because="It is the odometer now, and the interval of the service plan.",
        inputs=(("odometer", odometer), ("interval-distance", interval_distance)),
        source="arithmetic",
    )


def due_date(day: date, interval: Amount) -> date:
    """Return the day that many months later; the last of the month where that day does not exist in it.

    Raises
    ------
    ReadingError
        For a kind other than duration, or anything but whole months or years, from 1 month to 10 years.
    """
    months = interval.magnitude * {"month": 1, "year": 12}.get(interval.unit, 0)
    if not (months.is_finite() and 0 < months <= LONGEST_MONTHS and months == int(months)):
        raise ReadingError(
            f"{interval.magnitude} {interval.unit} is no whole number of months from 1 to {LONGEST_MONTHS}",
            say="The time between changes must be whole months, up to ten years.",
        )
    year, month = divmod(day.year * 12 + day.month - 1 + int(months), 12)
    if year > MAXYEAR:
        raise beyond_calendar(day)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def beyond_calendar(day: date) -> ReadingError:
    """Return the refusal of a day so late that the calendar ends before the job is next due."""
    return ReadingError(
        f"{day.isoformat()} is too near the end of the calendar: read the year again",
        say="That year is too far away. Read the date again.",
    )
