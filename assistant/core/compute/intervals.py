"""When a job is next due: by distance, and by date. Pure; the day is given, never asked for."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from assistant.core.compute.result import Result
from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind, convert


def due_distance(odometer: Amount, interval: Amount) -> Result:
    """Return the odometer reading at which the job is next due [unit of the odometer].

    Raises
    ------
    ReadingError
        For a kind other than distance, a negative odometer, or an interval that is not above zero.
    """
    step = convert(interval, odometer.unit).magnitude
    if odometer.kind is not Kind.DISTANCE or odometer.magnitude < 0 or step <= 0:
        raise ReadingError(
            f"{odometer.magnitude} {odometer.unit} and {interval.magnitude} {interval.unit} give no date"
        )
    return Result(
        value=Amount((odometer.magnitude + step).quantize(odometer.magnitude), odometer.unit, Kind.DISTANCE),
        because="It is the odometer now, and the interval of the service plan.",
        inputs=(("odometer", odometer), ("interval", interval)),
    )


def due_date(day: date, interval: Amount) -> date:
    """Return the day that many months later; the last of the month where that day does not exist in it.

    Raises
    ------
    ReadingError
        For a kind other than duration, or anything but whole months or years above zero.
    """
    months = interval.magnitude * {"month": 1, "year": 12}.get(interval.unit, 0)
    if months <= 0 or months != int(months):
        raise ReadingError(f"{interval.magnitude} {interval.unit} is no whole number of months above zero")
    year, month = divmod(day.year * 12 + day.month - 1 + int(months), 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
