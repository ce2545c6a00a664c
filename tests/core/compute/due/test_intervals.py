"""Dates against dateutil, an independent library; distance is addition."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.due.intervals import due_date, due_distance
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(1, 60))
def test_months_are_added_as_an_independent_library_does(day: date, months: int) -> None:
    interval = Amount(Decimal(months), "month", Kind.DURATION)
    assert due_date(day, interval) == day + relativedelta(months=months)


def test_distance_in_mixed_units() -> None:
    assert due_distance(amount("84200 km"), amount("15000 km")).value == amount("99200 km")
    assert due_distance(amount("52000 mi"), amount("16093.44 km")).value.magnitude == 62000  # NIST: 1 mi = 1.609344 km


@pytest.mark.parametrize(
    "interval", ["0 months", "-3 months", "1.5 months", "12 km", "30 days", "121 months", "11 years"]
)
def test_no_whole_months_are_refused(interval: str) -> None:
    with pytest.raises(ReadingError) as error:
        due_date(date(2026, 1, 31), amount(interval))
    assert len(error.value.say.split()) <= 15


def test_a_round_odometer_keeps_the_whole_interval() -> None:
    # the same number in another spelling: 1E+5 is 100000
    assert due_distance(amount("1e5 mi"), amount("7500 mi")).value.magnitude == 107500


@pytest.mark.parametrize(
    ("odometer", "interval"), [("-1 km", "15000 km"), ("84200 km", "0 km"), ("84200 km", "12 months"), ("4 L", "1 L")]
)
def test_impossible_distances_are_refused(odometer: str, interval: str) -> None:
    with pytest.raises(ReadingError) as error:
        due_distance(amount(odometer), amount(interval))
    assert len(error.value.say.split()) <= 15


@pytest.mark.parametrize("magnitude", ["NaN", "Infinity"])
def test_what_is_no_number_gives_no_distance_and_no_day(magnitude: str) -> None:
    wild = Amount(Decimal(magnitude), "kilometre", Kind.DISTANCE)
    for refuse in (
        lambda: due_distance(wild, amount("15000 km")),
        lambda: due_distance(amount("84200 km"), wild),
        lambda: due_date(date(2026, 1, 31), Amount(Decimal(magnitude), "month", Kind.DURATION)),
    ):
        with pytest.raises(ReadingError):
            refuse()


@pytest.mark.parametrize(
    ("day", "interval", "due"),
    [
        (date(2026, 1, 31), "1 month", date(2026, 2, 28)),  # Gregorian calendar: no thirty-first of February
        (date(2027, 8, 31), "6 months", date(2028, 2, 29)),  # 2028 is a leap year
        (date(2028, 2, 29), "1 year", date(2029, 2, 28)),
    ],
)
def test_the_ends_of_months(day: date, interval: str, due: date) -> None:
    assert due_date(day, amount(interval)) == due
