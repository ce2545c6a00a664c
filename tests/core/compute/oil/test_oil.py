"""Oil: level, volume, thickness and bottles: what must hold whatever the numbers."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from math import ceil

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.amounts.levels import read_level
from assistant.core.compute.base.straight_line import fitted
from assistant.core.compute.oil.choice import bottles, suits
from assistant.core.compute.oil.dipstick_span import span_from_readings
from assistant.core.compute.oil.fill import fill_by_filter
from assistant.core.compute.oil.level import PROVISIONAL, SETTLED, top_up_by_reading
from assistant.core.compute.oil.viscosity import at_temperature, index
from assistant.core.compute.oil.volume import consumption, expanded, on_slope
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

TABLES = Library().tables()
GRADES, LIMITS = TABLES["oil-grades"], TABLES["oil-consumption-limits"]
degrees = st.decimals("-20", "120", places=0)
JUG = amount("0.1 L")


def celsius(number: Decimal) -> Amount:
    return Amount(number, "degree_Celsius", Kind.TEMPERATURE)


@given(st.integers(0, 100), st.decimals("0.3", "4", places=1), st.sampled_from([SETTLED, *PROVISIONAL]))
def test_no_pour_passes_the_full_mark_and_a_doubtful_reading_gets_less(percent: int, span: Decimal, state: str) -> None:
    marks, reading = Amount(span, "litre", Kind.VOLUME), read_level(f"{percent} %")
    assume(reading.highest <= Decimal("1.1"))
    found = top_up_by_reading(reading, marks, JUG, state)
    after = dict(found.more)["at most after"]
    assert isinstance(after, Amount)
    assert after.magnitude <= max(Decimal(100), reading.highest * 100)
    assert found.value.magnitude % Decimal("0.05") == 0
    assert found.value.magnitude <= top_up_by_reading(reading, marks, JUG, SETTLED).value.magnitude


def test_above_full_nothing_is_poured_and_what_to_draw_off_is_told() -> None:
    with pytest.raises(ReadingError, match=r"draw off about 0\.5 litre"):
        top_up_by_reading(read_level("above full"), amount("1 L"), JUG, SETTLED)


@pytest.mark.parametrize(
    ("text", "middle"), [("3/8", "0.375"), ("40 %", "0.4"), ("5 mm of 20 mm", "0.25"), ("1 in of 2 in", "0.5")]
)
def test_a_reading_in_figures_is_its_part_of_the_span(text: str, middle: str) -> None:
    level = read_level(text)
    assert (level.lowest + level.highest) / 2 == Decimal(middle)


@pytest.mark.parametrize("text", ["5/0", "300 %", "5 mm of 0 mm", "5 kg of 20 mm", "zzz"])
def test_a_reading_that_no_dipstick_shows_is_refused(text: str) -> None:
    with pytest.raises(ReadingError):
        read_level(text)


def test_with_the_old_filter_its_oil_is_asked_for() -> None:
    with pytest.raises(ReadingError, match="filter-volume"):
        fill_by_filter(amount("4.3 L"), amount("1 L"), JUG, "no", None)


@given(st.decimals("1", "10", places=1), degrees, degrees, st.decimals("810", "1100", places=0))
def test_oil_goes_warm_and_cold_again(volume: Decimal, one: Decimal, other: Decimal, density: Decimal) -> None:
    oil, dense = Amount(volume, "litre", Kind.VOLUME), Amount(density, "kilogram_per_cubic_metre", Kind.DENSITY)
    there = expanded(oil, celsius(one), celsius(other), dense).value
    assert float(expanded(there, celsius(other), celsius(one), dense).value.magnitude) == pytest.approx(float(volume))
    assert (there.magnitude > volume) == (other > one) or one == other
    quarts = expanded(convert(oil, "US_quart"), convert(celsius(one), "degree_Fahrenheit"), celsius(other), dense).value
    assert float(convert(quarts, "litre").magnitude) == pytest.approx(float(there.magnitude), rel=1e-9)


@given(st.decimals("1", "19", places=1), st.decimals("10", "500", places=0))
def test_a_steeper_slope_reads_more_wrong_and_level_ground_not_at_all(angle: Decimal, distance: Decimal) -> None:
    away, marks = Amount(distance, "millimetre", Kind.LENGTH), amount("20 mm")
    one, two = (
        on_slope(away, Amount(each, "degree_of_arc", Kind.ANGLE), marks).value.magnitude for each in (angle, angle + 1)
    )
    assert 0 < one < two
    assert on_slope(away, amount("0 °"), marks).value.magnitude == 0


def test_consumption_too_near_to_tell_is_said_so() -> None:
    found = consumption(amount("0.5 L"), amount("1000 km"), amount("0.125 L"), "petrol", LIMITS)
    assert dict(found.more)["judgement"] == "too near to tell"
    american = consumption(amount("1 US qt"), amount("1000 mi"), amount("0 L"), "petrol", LIMITS)
    assert (american.value.unit, float(american.value.magnitude)) == ("US_quart_per_1000_mile", pytest.approx(1))


@given(
    st.lists(
        st.tuples(st.floats(0, 10), st.floats(-5, 5)),
        min_size=3,
        max_size=12,
        unique_by=lambda point: round(point[0], 2),
    )
)
def test_the_line_of_least_squares_is_numpys(points: list[tuple[float, float]]) -> None:
    xs, ys = (np.array(each) for each in zip(*points, strict=True))
    assume(np.ptp(xs) > 0.5)
    line = fitted(points)
    slope, start = np.polyfit(xs, ys, 1)
    assert (line.slope, line.start) == (pytest.approx(slope, abs=1e-8), pytest.approx(start, abs=1e-7))
    left = np.sum((ys - start - slope * xs) ** 2) / (len(points) - 2)
    assert line.slope_error == pytest.approx(np.sqrt(left / np.sum((xs - xs.mean()) ** 2)), abs=1e-7)


@given(st.decimals("0.4", "3", places=1))
def test_readings_made_from_a_span_give_that_span(span: Decimal) -> None:
    text = ", ".join(f"{percent} %: {3 + span * percent / 100} L" for percent in (10, 50, 90))
    found = span_from_readings(text)
    assert float(found.value.magnitude) == pytest.approx(float(span), rel=1e-9)
    assert found.uncertainty and found.uncertainty.magnitude > 0


@pytest.mark.parametrize(
    "text",
    ["half: 3 L", "half: 3 L, half: 3 L", "90 %: 3 L, 10 %: 4 L", "half, full", "10 %: 3 L, 90 %: 3.4 L, 20 %: 3.8 L"],
)
def test_readings_that_disagree_or_are_too_few_are_refused(text: str) -> None:
    with pytest.raises(ReadingError):
        span_from_readings(text)


def test_a_line_through_two_viscosities_meets_both() -> None:
    first, second = amount("68 mm²/s"), amount("14.85 mm²/s")
    for temperature, wanted in (("40 °C", 68), ("80 °C", 14.85)):
        found = at_temperature(first, amount("40 °C"), second, amount("80 °C"), amount(temperature)).value
        assert float(found.magnitude) == pytest.approx(wanted, rel=1e-9)
    with pytest.raises(ReadingError):
        at_temperature(second, amount("40 °C"), first, amount("80 °C"), amount("60 °C"))


def test_the_reference_oils_have_no_steps_where_one_line_meets_the_next() -> None:
    rows = TABLES["viscosity-index"]
    for before, row in pairwise(rows):
        at = float(row["from"])
        for a, b, c in (("a", "b", "c"), ("d", "e", "f")):
            old, new = (float(each[a]) * at**2 + float(each[b]) * at + float(each[c]) for each in (before, row))
            assert new == pytest.approx(old, rel=0.002)


@given(st.decimals("20", "400", places=1), st.decimals("4", "30", places=1))
def test_an_oil_that_thins_less_has_the_higher_index(cold: Decimal, warm: Decimal) -> None:
    assume(cold > 4 * warm)
    one, other = (
        index(Amount(each, "square_millimetre_per_second", Kind.VISCOSITY),
              Amount(warm, "square_millimetre_per_second", Kind.VISCOSITY), TABLES["viscosity-index"]).value.magnitude
        for each in (cold, cold * Decimal("1.2"))
    )  # fmt: skip
    assert one > other


@given(st.decimals("0.5", "9", places=1))
def test_the_bottles_hold_enough_and_no_single_size_is_cheaper(need: Decimal) -> None:
    found = bottles(Amount(need, "litre", Kind.VOLUME), "1 L: 9.50, 4 L: 30, 5 L: 32")
    values = dict(found.more)
    bought, cost = values["bought"], values["cost"]
    assert isinstance(bought, Amount) and isinstance(cost, Amount)
    assert bought.magnitude >= need
    alone = min(ceil(need / size) * price for size, price in ((1, Decimal("9.50")), (4, Decimal(30)), (5, Decimal(32))))
    assert cost.magnitude <= alone


def test_a_grade_that_is_none_is_refused_and_a_plain_one_promises_nothing_in_the_cold() -> None:
    with pytest.raises(ReadingError, match="no grade"):
        suits("5W-33", "5W-30", "ACEA C3", "ACEA C3", amount("0 °C"), GRADES)
    found = suits("30", "30", "ACEA C3", "ACEA C3", amount("-5 °C"), GRADES)
    assert "nothing is promised in the cold" in found.value
