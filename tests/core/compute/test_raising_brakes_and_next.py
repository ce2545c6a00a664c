"""Raising a car, brakes, and when next: what must hold whatever the numbers."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.compute.brakes.wear import disc, pads, remaining
from assistant.core.compute.due.next_due import daily_distance, next_due
from assistant.core.compute.raising.checks import by_moments, check, on_axle, slope
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

TABLES = Library().tables()
masses = st.decimals("500", "3000", places=0)


def kilograms(number: Decimal) -> Amount:
    return Amount(number, "kilogram", Kind.MASS)


def millimetres(number: Decimal) -> Amount:
    return Amount(number, "millimetre", Kind.LENGTH)


@given(masses, st.integers(10, 90))
def test_both_axles_carry_the_whole_car(mass: Decimal, share: int) -> None:
    one, other = (on_axle(kilograms(mass), amount(f"{part} %")).value.magnitude for part in (share, 100 - share))
    assert one + other == mass


@given(masses, st.decimals("0.5", "2.5", places=2))
def test_moments_leave_nothing_over_in_any_unit(mass: Decimal, away: Decimal) -> None:
    place, base = Amount(away, "metre", Kind.LENGTH), amount("2.6 m")
    found = by_moments(kilograms(mass), place, base)
    front = dict(found.more)["front"]
    assert isinstance(front, Amount) and front.magnitude + found.value.magnitude == mass
    pounds = by_moments(convert(kilograms(mass), "pound"), convert(place, "inch"), convert(base, "foot")).value
    assert float(convert(pounds, "kilogram").magnitude) == pytest.approx(float(found.value.magnitude), rel=1e-9)


@given(masses, masses)
def test_a_pair_is_two_of_half_the_rating_and_never_rounded_down(load: Decimal, rating: Decimal) -> None:
    pair = check(kilograms(load), kilograms(rating), "pair")
    each = check(kilograms(load), kilograms(rating / 2), "each")
    assert pair.value == each.value
    needed = dict(pair.more)["needed"]
    assert isinstance(needed, Amount) and 2 * needed.magnitude >= load * Decimal("1.5")


def test_a_rating_whose_meaning_is_not_known_is_asked_about() -> None:
    with pytest.raises(ReadingError) as raised:
        check(amount("840 kg"), amount("2 t"), "unknown")
    assert "one, or for the pair" in raised.value.say


@given(st.decimals("10", "400", places=0), st.decimals("500", "3000", places=0))
def test_a_higher_ramp_is_steeper(height: Decimal, run: Decimal) -> None:
    low, high = (slope(millimetres(each), millimetres(run)).value.magnitude for each in (height, height + 10))
    assert low < high


thick = st.decimals("4", "20", places=1)


@given(thick, st.decimals("0.5", "8", places=1), st.decimals("5000", "60000", places=0))
def test_twice_the_way_for_the_same_wear_is_twice_the_rest(now: Decimal, wear: Decimal, driven: Decimal) -> None:
    assume(now > 3)
    once, twice = (
        remaining(millimetres(now + wear), millimetres(now), Amount(way, "kilometre", Kind.DISTANCE), amount("3 mm"),
                  amount("0.1 mm")).value.magnitude
        for way in (driven, 2 * driven)
    )  # fmt: skip
    assert abs(twice - 2 * once) <= 2


def test_wear_below_what_measuring_may_be_off_is_no_wear() -> None:
    with pytest.raises(ReadingError, match="measure again"):
        remaining(amount("8.1 mm"), amount("8 mm"), amount("5000 km"), amount("3 mm"), amount("0.1 mm"))
    with pytest.raises(ReadingError, match="before you drive"):
        remaining(amount("8 mm"), amount("2.9 mm"), amount("5000 km"), amount("3 mm"), amount("0.1 mm"))


def test_thinner_than_its_thickest_place_is_asked_again_and_pads_at_their_least_go() -> None:
    limits = (amount("22 mm"), amount("0.05 mm"), amount("0.013 mm"), amount("0.1 mm"))
    with pytest.raises(ReadingError):
        disc(amount("23 mm"), amount("22.5 mm"), *limits, ())
    assert pads(amount("2 mm"), amount("2 mm")).value.startswith("They are at their least")


PLAN = (amount("84200 km"), amount("15000 km"), amount("12 months"))


@given(st.dates(date(2000, 1, 1), date(2060, 12, 31)), st.integers(1, 60))
def test_months_are_those_of_another_library(day: date, months: int) -> None:
    found = next_due(day, PLAN[0], PLAN[1], amount(f"{months} months"), None, None, None)
    assert found.value == (day + relativedelta(months=months)).isoformat()


@given(st.integers(10, 200))
def test_whoever_drives_more_is_due_sooner_and_never_after_the_date(daily: int) -> None:
    days = [date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 14)]
    history = ", ".join(f"{day}: {80000 + daily * (day - days[0]).days} km" for day in days)
    assert float(daily_distance(history).value.magnitude) == pytest.approx(daily, rel=1e-9)
    found = next_due(days[-1], *PLAN, history, None, None)
    by_distance = date.fromisoformat(str(dict(found.more)["by distance"]))
    assert date.fromisoformat(found.value) == min(by_distance, date(2027, 3, 14))
    assert abs((by_distance - days[-1]).days - 15000 / daily) <= 1


def test_hours_come_first_where_they_are_soonest() -> None:
    found = next_due(date(2026, 3, 14), *PLAN, None, amount("100 h"), amount("10 h"))
    assert found.value == "2026-05-23" and "by hours" in found.because  # ten weeks
    with pytest.raises(ReadingError, match="together"):
        next_due(date(2026, 3, 14), *PLAN, None, amount("100 h"), None)


@pytest.mark.parametrize(
    "history",
    [
        "",
        "2026-01-01: 1 km",
        "2026-01-01: 5 km, 2026-02-01: 4 km",
        "yesterday: 4 km",
        "2026-01-01, 2026-02-01",
        "2026-01-01: 5 km, 2026-02-01: 5 km",
    ],
)
def test_a_history_that_tells_nothing_is_refused(history: str) -> None:
    with pytest.raises(ReadingError):
        daily_distance(history)


def test_two_readings_tell_a_day_but_not_how_sure_it_is() -> None:
    two = next_due(date(2026, 3, 14), *PLAN, "2026-01-03: 82000 km, 2026-03-14: 84200 km", None, None)
    assert "by distance" in dict(two.more) and "earliest" not in dict(two.more)
    history = "2026-01-03: 82000 km, 2026-02-01: 82950 km, 2026-03-14: 84200 km"
    three = dict(next_due(date(2026, 3, 14), *PLAN, history, None, None).more)
    assert str(three["earliest"]) < str(three["by distance"]) < str(three["latest"])


@pytest.mark.parametrize(
    "given", [{}, {"interval-time": "1 month"}, {"day": "9990-01-01", "interval-time": "10 years"}]
)
def test_a_day_at_the_end_of_the_calendar_is_refused(given: dict[str, str]) -> None:
    late = {**CALCULATIONS["next-due"].example, "day": "9999-12-31", **given}
    with pytest.raises(ReadingError, match="end of the calendar"):
        work_out("next-due", late, TABLES)
    with pytest.raises(ReadingError, match="end of the calendar"):
        work_out("next-due", {**late, "history": ""}, TABLES)
