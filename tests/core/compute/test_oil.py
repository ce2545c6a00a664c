"""First fill, top-up, cross-check, pan: arithmetic with its sources, and the promise never to pass the full mark."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute import drain_pan, fill, oil_level
from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind, Level, amount, convert

pytestmark = pytest.mark.pure

LITRE = amount("1 L")
TENTH = amount("0.1 L")
QUARTER = Level(Decimal("0.125"), Decimal("0.375"), "at a quarter")


def level(low: str, high: str) -> Level:
    return Level(Decimal(low), Decimal(high), "test")


def test_linear_top_up_to_the_full_mark() -> None:
    # Arithmetic of a linear dipstick: from exactly 1/4 with a span of 1.0 L, 0.75 L reach the full mark.
    exact = level("0.25", "0.25")
    assert oil_level.top_up(exact, LITRE, amount("0.05 L")).value == amount("0.75 L")
    assert oil_level.top_up(level("0", "0"), LITRE, TENTH).value.magnitude == 1


def test_a_quart_between_the_marks() -> None:
    # GM 2003 service text prints 1 qt = 0.946 L
    quart = amount("1 US qt")
    poured = oil_level.top_up(level("0", "0"), quart, amount("0.001 L")).value
    assert float(poured.magnitude) == pytest.approx(0.946, abs=0.001)


def test_the_first_fill_is_below_the_capacity_by_three_quarters_of_the_span() -> None:
    # Common practice, no source: pour less than the capacity. 4.3 - 0.75 = 3.55, rounded down to the jug's 0.1 L.
    assert fill.first_fill(amount("4.3 L"), LITRE, TENTH).value == Amount(Decimal("3.5"), "litre", Kind.VOLUME)
    assert fill.safe_minimum(amount("4.3 L"), LITRE).value.magnitude == Decimal("3.3")


_SPANS = st.decimals("0.3", "2.5", places=2)
_ENDS = st.decimals("-0.5", "1.5", places=3)


@given(_ENDS, _ENDS, _SPANS)
def test_even_the_upper_end_of_a_reading_never_passes_the_full_mark(
    one: Decimal, other: Decimal, span: Decimal
) -> None:
    reading = Level(min(one, other), max(one, other), "test")
    poured = oil_level.top_up(reading, Amount(span, "litre", Kind.VOLUME), TENTH).value
    assert poured.magnitude >= 0
    if poured.magnitude:
        assert reading.highest + poured.magnitude / span <= 1


@given(_SPANS, st.decimals("3", "9", places=1))
def test_the_first_fill_lies_between_the_safe_minimum_and_the_capacity(span: Decimal, whole: Decimal) -> None:
    capacity, marks = Amount(whole, "litre", Kind.VOLUME), Amount(span, "litre", Kind.VOLUME)
    first = fill.first_fill(capacity, marks, Amount(Decimal("0.01"), "litre", Kind.VOLUME)).value.magnitude
    assert fill.safe_minimum(capacity, marks).value.magnitude <= first < whole


@given(_ENDS, _SPANS)
def test_units_do_not_matter(place: Decimal, span: Decimal) -> None:
    reading, step = Level(place, place, "test"), Amount(Decimal("0.1"), "US_quart", Kind.VOLUME)
    litres = Amount(span, "litre", Kind.VOLUME)
    one = oil_level.top_up(reading, litres, step).value
    other = oil_level.top_up(reading, convert(litres, "millilitre"), step).value
    assert one == other


@pytest.mark.parametrize(
    ("low", "high", "status"),
    [("0", "0.25", "low"), ("0.375", "0.625", "low"), ("0.625", "0.875", "ok"), ("0.75", "1", "ok"),
     ("0.9", "1.1", "ok"),
     ("1.05", "1.5", "over"), ("-0.5", "-0.05", "low")],
)  # fmt: skip
def test_what_a_reading_means(low: str, high: str, status: str) -> None:
    assert oil_level.status(level(low, high)) == status


def test_poured_and_read_must_agree() -> None:
    capacity = amount("4.3 L")
    # 3.5 L in a 4.3 L engine with 1.0 L between the marks: 0.8 L under the full mark, or 0.5 with old oil left behind
    assert oil_level.disagreement(level("0.1", "0.4"), amount("3.5 L"), capacity, LITRE) == ""
    assert "lower" in oil_level.disagreement(level("-0.5", "-0.1"), amount("3.5 L"), capacity, LITRE)
    assert "old oil" in oil_level.disagreement(level("0.9", "1.1"), amount("3.5 L"), capacity, LITRE)


def test_the_pan_holds_what_most_cars_hold() -> None:
    # EPA 530-F-94-008: most cars take 4 to 5 US quarts
    assert drain_pan.least_size(amount("5 US qt")).value == amount("7 US qt")


@pytest.mark.parametrize("span", ["0 L", "-1 L", "4.3 L", "9 L"])
def test_impossible_spans_are_refused(span: str) -> None:
    with pytest.raises(ReadingError):
        fill.first_fill(amount("4.3 L"), amount(span), TENTH)


def test_other_kinds_and_wild_readings_are_refused() -> None:
    with pytest.raises(ReadingError):
        fill.first_fill(amount("30 N·m"), LITRE, TENTH)
    with pytest.raises(ReadingError):
        oil_level.status(level("0.5", "0.2"))
    with pytest.raises(ReadingError):
        oil_level.top_up(level("NaN", "NaN"), LITRE, TENTH)
