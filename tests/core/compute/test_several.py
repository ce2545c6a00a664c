"""Several readings, batteries that stand or are tested, leads and lamps: what must hold whatever the numbers."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.base.result import Finding, Result
from assistant.core.compute.electrics.battery_tests import rest_current, standing
from assistant.core.compute.electrics.leads import lamp, section
from assistant.core.compute.several import RANKS, drained, spread, worst
from assistant.core.compute.work_out import work_out
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount
from tests.published import TABLES

depths = st.lists(st.decimals("1", "9", places=2), min_size=2, max_size=8)


@given(depths, st.randoms(use_true_random=False), st.decimals("0", "5", places=1))
def test_order_and_a_common_shift_leave_the_spread(values: list[Decimal], chance: random.Random, more: Decimal) -> None:
    mixed = chance.sample(values, len(values))
    one, other = (
        spread(", ".join(f"{each} mm" for each in some), None) for some in (values, [v + more for v in mixed])
    )
    assert one.value == other.value and one.value.magnitude == max(values) - min(values)


def test_the_one_that_is_farthest_off_is_named_and_units_may_differ() -> None:
    found = spread("front left: 6 mm, front right: 0.6 cm, rear left: 4 mm, rear right: 6.1 mm", "1 mm")
    assert dict(found.more)["odd"] == "rear left" and dict(found.more)["judgement"] == "too far apart"


@pytest.mark.parametrize("readings", ["6 mm", "", "6 mm, 3 kg", "6 mm, seven", "6, 7", "20 °C, 30 °C"])
def test_what_has_no_spread_is_refused(readings: str) -> None:
    with pytest.raises(ReadingError):
        spread(readings, None)


@given(st.lists(st.sampled_from(RANKS), min_size=1, max_size=9))
def test_one_bad_finding_is_enough(found: list[str]) -> None:
    answer = worst(", ".join(f"part {number}: {each}" for number, each in enumerate(found)))
    assert dict(answer.more)["worst"] == max(found, key=RANKS.index)
    for number, each in enumerate(found):
        if each == "stop":
            assert f"part {number}" in answer.value and "do not drive" in answer.value


@pytest.mark.parametrize("findings", ["", "tyres", "tyres: fine", ": stop"])
def test_a_finding_that_says_nothing_is_refused(findings: str) -> None:
    with pytest.raises(ReadingError):
        worst(findings)


@pytest.mark.parametrize(("poured", "word"), [("1.79 L", "Too little"), ("1.8 L", "alike"), ("2.21 L", "Too much")])
def test_what_went_in_is_held_against_what_came_out(poured: str, word: str) -> None:
    assert word in drained(amount("2 L"), amount(poured), amount("10 %")).value


@given(st.decimals("10", "250", places=0), st.decimals("1", "5", places=1))
def test_twice_the_current_or_the_length_needs_twice_the_copper(current: Decimal, length: Decimal) -> None:
    def needed(amperes: Decimal, metres: Decimal) -> float:
        lead = section(Amount(amperes, "ampere", Kind.CURRENT), Amount(metres, "metre", Kind.LENGTH), amount("3 V"))
        size = dict(lead.more)["size"]
        assert isinstance(size, Amount) and size.magnitude >= lead.value.magnitude
        return float(lead.value.magnitude)

    once = needed(current, length)
    assert needed(2 * current, length) == pytest.approx(2 * once) == needed(current, 2 * length)


def test_leads_that_are_not_sold_and_lamps_without_a_fuse_are_refused() -> None:
    with pytest.raises(ReadingError, match="take shorter ones"):
        section(amount("600 A"), amount("5 m"), amount("1 V"))
    with pytest.raises(ReadingError, match="no blade fuse"):
        lamp(amount("800", Kind.COUNT), amount("6 V"))


@given(st.decimals("1", "700", places=0))
def test_a_fuse_bears_a_quarter_more_than_flows(watts: Decimal) -> None:
    found = lamp(Amount(watts, "one", Kind.COUNT), amount("12 V"))
    fuse = dict(found.more)["fuse"]
    assert isinstance(fuse, Amount) and fuse.magnitude >= found.value.magnitude * Decimal("1.25")


def test_a_battery_that_stands_lasts_shorter_the_more_it_gives_and_not_at_all_when_low() -> None:
    days = [
        standing(amount("60 Ah"), amount(each), amount("100 %")).value.magnitude
        for each in ("0.02 A", "0.05 A", "0.5 A")
    ]
    assert days == sorted(days, reverse=True)
    with pytest.raises(ReadingError, match="charge it first"):
        standing(amount("60 Ah"), amount("0.05 A"), amount("60 %"))


@pytest.mark.parametrize(("current", "word"), [("0.035 A", "usual"), ("0.05 A", "differ"), ("0.5 A", "too much")])
def test_a_current_at_rest_is_judged_by_two_sources(current: str, word: str) -> None:
    assert word in rest_current(amount(current)).value


def test_a_colder_battery_may_fall_lower_under_load_and_one_below_the_table_is_not_tested() -> None:
    def found(temperature: str) -> Finding | Result:
        return work_out("load-test", {"lowest": "9.2 V", "temperature": temperature}, TABLES)

    assert str(found("-5 °C").value).startswith("It passes") and str(found("20 °C").value).startswith("It fails")
    with pytest.raises(ReadingError, match="warm the battery up"):
        found("-30 °C")


def test_readings_with_a_decimal_comma_are_parted_like_any_list_of_amounts() -> None:
    assert spread("12,4 V, 12,6 V", None).value == spread("12.4 V, 12.6 V", None).value == amount("0.2 V")
