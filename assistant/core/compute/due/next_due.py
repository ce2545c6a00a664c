"""When a job is next due: by distance, by date or by hours, whichever comes first. Pure."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from assistant.core.amounts.listing import listed
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.compute.base.straight_line import fitted
from assistant.core.compute.due.intervals import beyond_calendar, due_date, due_distance
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_FARTHEST = 20 * 366
"""Days beyond which no day is told: no plan reaches so far. Common practice, no source."""


def daily_distance(history: str) -> Result:
    """Return how far one drives a day, by least squares over readings of the odometer, with its standard error.

    Parameters
    ----------
    history : str
        Days and odometer, with commas between them: "2026-01-03: 84200 km, 2026-03-01: 86100 km".

    Raises
    ------
    ReadingError
        For fewer than two readings, what can't be read, and an odometer that goes down.
    """
    readings = sorted(_reading(text) for text in listed(history))
    if any(later < sooner for (_, sooner), (_, later) in pairwise(readings)):
        raise ReadingError("the odometer goes down from one reading to the next", say="The odometer can't go down.")
    begin = readings[0][0] if readings else date.min
    line = fitted([((day - begin).days, kilometres) for day, kilometres in readings])
    if line.slope <= 0:
        raise ReadingError("no distance was driven between the readings", say="No distance was driven there.")
    return Result(
        value=amount_of(line.slope, "kilometre"),
        uncertainty=amount_of(line.slope_error, "kilometre") if len(readings) > 2 else None,  # two tell no scatter
        because="It is the steepness of the line through your readings.",
        inputs=(("history", history),),
        more=(("readings used", amount_of(len(readings), "one")),),
        assumptions=("you go on driving as before",),
        source="least squares",
    )


def _reading(text: str) -> tuple[date, float]:
    day, sign, odometer = text.strip().partition(": ")
    try:
        when = date.fromisoformat(day.strip())
    except ValueError as error:
        raise ReadingError(
            f"{text.strip()!r}: write a day, a colon and the odometer: 2026-01-03: 84200 km",
            say="Tell me each reading as a day and an odometer.",
        ) from error
    if not sign:
        raise ReadingError(f"{text.strip()!r} has no odometer behind its day", say="I need the odometer of each day.")
    return when, real(read_amount(odometer.strip(), Kind.DISTANCE), "kilometre")


def next_due(
    day: date,
    odometer: Amount,
    interval_distance: Amount,
    interval_time: Amount,
    history: str | None,
    interval_hours: Amount | None,
    weekly_hours: Amount | None,
) -> Finding:
    """Return the day on which the job is next due, whichever of distance, date and hours comes first.

    Parameters
    ----------
    day : date
        Of this job.
    odometer : Amount
        At this job [distance].
    interval_distance, interval_time : Amount
        Of the service plan [distance; months or years].
    history : str or None
        Readings of the odometer, as `daily_distance` takes them; without it the distance gives no day.
    interval_hours, weekly_hours : Amount or None
        Interval in hours of running, and hours a week [duration]; both, or neither.

    Returns
    -------
    Finding
        The day as year-month-day. `at` is the odometer; `by date`, `by distance`, `earliest`, `latest`, `by hours`.
    """
    by_date = due_date(day, interval_time)
    at = due_distance(odometer, interval_distance).value
    days: dict[str, date] = {"by date": by_date}
    more: list[tuple[str, Amount | str]] = [("at", at)]
    if history:
        daily = daily_distance(history)
        each, far = real(daily.value, "kilometre"), real(interval_distance, "kilometre")
        days["by distance"] = _after(day, far / each)
        if daily.uncertainty:
            off = 2 * real(daily.uncertainty, "kilometre")
            more += [("earliest", _after(day, far / (each + off)).isoformat())]
            more += [("latest", _after(day, far / (each - off)).isoformat())] if off < each else []
    if (interval_hours is None) != (weekly_hours is None):
        raise ReadingError("interval and hours a week go together", say="I need both hours, or neither.")
    if interval_hours is not None and weekly_hours is not None:
        weekly = convert(weekly_hours, "hour").magnitude
        if weekly <= 0:
            raise ReadingError("no hours a week never make an interval", say="Hours a week must be above nothing.")
        days["by hours"] = _after(day, float(7 * convert(interval_hours, "hour").magnitude / weekly))
    first = min(days, key=lambda name: days[name])
    return Finding(
        value=days[first].isoformat(),
        because=f"It is due {first}, which comes first.",
        inputs=(("day", day.isoformat()), ("odometer", odometer), ("interval-distance", interval_distance),
                ("interval-time", interval_time)),
        also="Or at {at}, if you get there sooner.",
        more=(*more, *((name, found.isoformat()) for name, found in days.items())),
        assumptions=("you go on driving as before; the bounds are two standard errors",) if history else (),
        cautions=("What the car's own display says, if sooner, goes before.",),
        source="whichever comes first, as service plans say; least squares",
    )  # fmt: skip


def by_plan(day: date, interval_time: Amount) -> Finding:
    """Return the day on which a job is next due by its service plan. Parameters are those of `next_due`."""
    return Finding(
        value=due_date(day, interval_time).isoformat(),
        because="It is the day of this job, and the interval of the service plan.",
        inputs=(("day", day.isoformat()), ("interval-time", interval_time)),
        source="calendar arithmetic",
    )


def _after(day: date, days: float) -> date:
    if days > _FARTHEST:
        raise ReadingError(
            "that is more than twenty years away: look at the readings again", say="That is too far away."
        )
    try:
        return day + timedelta(days=int(days))
    except OverflowError as error:
        raise beyond_calendar(day) from error


_DAY = Input("day", Form.DAY, "of this job, as 2026-03-14")
_ODOMETER = Input("odometer", Kind.DISTANCE, "at this job", most="2000000 km")
_MONTHS = Input("interval-time", Kind.DURATION, "of the service plan, in months or years", "1 month", "10 years")
_INTERVAL = Input("interval-distance", Kind.DISTANCE, "of the service plan", least="500 km", most="100000 km")

CALCULATIONS = (
    Calculation(
        name="daily-distance",
        subject="next",
        title="how far you drive a day",
        inputs=(Input("history", Form.TEXT, "days and odometer: 2026-01-03: 84200 km, 2026-03-01: 86100 km"),),
        work=daily_distance,
        example={"history": "2026-01-03: 84200 km, 2026-03-01: 86100 km, 2026-05-02: 88000 km"},
        formula="slope of the line of least squares",
        source="arithmetic of least squares",
        valid="two readings or more",
    ),
    Calculation(
        name="next-due",
        subject="next",
        title="on which day a job is next due",
        inputs=(
            _DAY,
            _ODOMETER,
            _INTERVAL,
            _MONTHS,
            Input("history", Form.TEXT, "days and odometer, for a day by distance", default=""),
            Input("interval-hours", Kind.DURATION, "hours of running of the plan", "1 h", "10000 h", default=""),
            Input("weekly-hours", Kind.DURATION, "hours of running a week", "0.1 h", "168 h", default=""),
        ),
        work=next_due,
        example={"day": "2026-03-14", "odometer": "84200 km", "interval-distance": "15000 km",
                 "interval-time": "12 months",
                 "history": "2026-01-03: 82000 km, 2026-02-01: 82950 km, 2026-03-14: 84200 km"},
        formula="the first of: day + interval; day + distance/daily distance; day + hours/hours a week",
        source="service plans: whichever comes first; calendar arithmetic as in dateutil",
        valid="up to twenty years",
    ),
    Calculation(
        name="due-distance",
        subject="next",
        title="at which distance a job is next due",
        inputs=(_ODOMETER, _INTERVAL),
        work=due_distance,
        example={"odometer": "84200 km", "interval-distance": "15000 km"},
        formula="odometer + interval, rounded down",
        source="arithmetic",
        valid="any odometer",
    ),
    Calculation(
        name="due-date",
        subject="next",
        title="on which day a job is next due by its service plan",
        inputs=(_DAY, _MONTHS),
        work=by_plan,
        example={"day": "2026-03-14", "interval-time": "12 months"},
        formula="day + interval",
        source="calendar arithmetic as in dateutil",
        valid="up to ten years",
    ),
)  # fmt: skip
