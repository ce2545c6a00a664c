"""First fill, safe minimum and the jug: arithmetic, with its sources."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.jug import graduation, round_down
from assistant.core.compute.oil import fill
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

pytestmark = pytest.mark.pure

LITRE = amount("1 L")
TENTH = amount("0.1 L")
_SPANS = st.decimals("0.3", "2.5", places=2)
_CAPACITIES = st.decimals("3", "9", places=2)
_JUGS = st.sampled_from(["metric", "imperial", "us"]).map(graduation)


def litres(value: Amount) -> Decimal:
    return convert(value, "litre").magnitude


def test_the_first_fill_is_below_the_capacity_by_three_quarters_of_the_span() -> None:
    # Common practice, no source: pour less than the capacity. 4.3 - 0.75 = 3.55, rounded down to the jug's 0.1 L.
    assert fill.first_fill(amount("4.3 L"), LITRE, TENTH).value == Amount(Decimal("3.5"), "litre", Kind.VOLUME)
    assert fill.safe_minimum(amount("4.3 L"), LITRE).value.magnitude == Decimal("3.3")


@given(_SPANS, _CAPACITIES, _JUGS)
def test_after_the_first_fill_the_engine_may_run_and_is_not_full(span: Decimal, whole: Decimal, jug: Amount) -> None:
    capacity, marks = Amount(whole, "litre", Kind.VOLUME), Amount(span, "litre", Kind.VOLUME)
    first = fill.first_fill(capacity, marks, jug).value
    assert litres(fill.safe_minimum(capacity, marks).value) <= litres(first) < whole
    assert first.magnitude % jug.magnitude == 0  # what the jug can show


def test_a_coarse_jug_does_not_leave_the_engine_below_its_low_mark() -> None:
    # 3.02 - 0.75 x 0.3 = 2.795 would be rounded down to 2.7, under the low mark at 2.72
    assert fill.first_fill(amount("3.02 L"), amount("0.3 L"), TENTH).value == amount("2.8 L")
    with pytest.raises(ReadingError, match="too coarse"):
        fill.first_fill(amount("3.9 L"), amount("0.3 L"), LITRE)


@given(_SPANS, _CAPACITIES)
def test_the_safe_minimum_is_never_rounded_down(span: Decimal, whole: Decimal) -> None:
    marks = convert(Amount(span, "litre", Kind.VOLUME), "US_quart")
    least = fill.safe_minimum(Amount(whole, "litre", Kind.VOLUME), marks).value.magnitude
    assert 0 <= least - (whole - span) <= Decimal("0.001")


@given(st.decimals("0", "20", places=4), _JUGS)
def test_a_jug_is_read_down_to_its_own_marks(volume: Decimal, jug: Amount) -> None:
    given_volume = convert(Amount(volume, "litre", Kind.VOLUME), jug.unit)
    rounded = round_down(given_volume, jug)
    assert 0 <= given_volume.magnitude - rounded.magnitude < jug.magnitude


@pytest.mark.parametrize("span", ["0 L", "-1 L", "4.3 L", "9 L"])
def test_impossible_spans_are_refused(span: str) -> None:
    with pytest.raises(ReadingError) as error:
        fill.first_fill(amount("4.3 L"), amount(span), TENTH)
    assert len(error.value.say.split()) <= 15


@pytest.mark.parametrize("step", ["0 L", "-0.1 L", "1 kg"])
def test_impossible_jugs_are_refused(step: str) -> None:
    with pytest.raises(ReadingError) as error:
        fill.first_fill(amount("4.3 L"), LITRE, amount(step))
    assert len(error.value.say.split()) <= 15


def test_what_is_no_volume_is_refused_also_in_its_own_unit() -> None:
    torque, smaller = amount("30 N·m"), amount("1 N·m")
    for refuse in (
        lambda: fill.first_fill(torque, smaller, smaller),
        lambda: fill.safe_minimum(torque, smaller),
        lambda: round_down(torque, smaller),
    ):
        with pytest.raises(ReadingError, match="is a torque"):
            refuse()


def test_other_kinds_and_unknown_systems_are_refused() -> None:
    with pytest.raises(ReadingError):
        fill.first_fill(amount("30 N·m"), LITRE, TENTH)
    with pytest.raises(ReadingError, match="metric, imperial, us"):
        graduation("avoirdupois")
