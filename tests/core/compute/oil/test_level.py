"""Top-up, drawing off and the cross-check: arithmetic of a linear dipstick, and never past the full mark."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute import marks
from assistant.core.compute.oil import level as oil_level
from assistant.core.errors import ReadingError
from assistant.core.quantities.levels import level_of
from assistant.core.quantities.units import Amount, Kind, Level, amount, convert

pytestmark = pytest.mark.pure

LITRE = amount("1 L")
TENTH = amount("0.1 L")
BELOW = Level(Decimal("-0.5"), Decimal("-0.05"), "below the low mark")
_SPANS = st.decimals("0.3", "2.5", places=2)
_ENDS = st.decimals("-0.5", "1.5", places=3)


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


@given(_ENDS, _ENDS, _SPANS)
def test_even_the_upper_end_of_a_reading_never_passes_the_full_mark(
    one: Decimal, other: Decimal, span: Decimal
) -> None:
    reading = Level(min(one, other), max(one, other), "test")
    poured = oil_level.top_up(reading, Amount(span, "litre", Kind.VOLUME), TENTH).value
    assert poured.magnitude >= 0
    if poured.magnitude:
        assert reading.highest + poured.magnitude / span <= 1


@given(_ENDS, _ENDS, _SPANS)
def test_a_higher_reading_never_asks_for_more_oil(one: Decimal, other: Decimal, span: Decimal) -> None:
    marks = Amount(span, "litre", Kind.VOLUME)
    low, high = (Level(end, end, "test") for end in sorted((one, other)))
    more, less = (oil_level.top_up(reading, marks, TENTH).value.magnitude for reading in (low, high))
    if low.highest >= 0:  # below the low mark it is poured in two steps
        assert more >= less


def test_below_the_low_mark_it_is_half_of_the_span_and_then_read_again() -> None:
    # common practice, no source: how far below is not to be seen
    first = oil_level.top_up(BELOW, LITRE, TENTH)
    assert first.value == amount("0.5 L")
    assert "read again" in first.because


def test_a_low_reading_never_asks_for_nothing() -> None:
    # halfway, with 0.25 L between the marks: (1 - 0.625) x 0.25 = 0.094 L fit, less than one mark of the jug
    poured = oil_level.top_up(level("0.375", "0.625"), amount("0.25 L"), TENTH).value
    assert poured == amount("0.05 L")


@given(_ENDS, st.decimals("0", "1", places=3), _SPANS)
def test_what_is_drawn_off_leaves_the_oil_between_the_marks(low: Decimal, width: Decimal, span: Decimal) -> None:
    reading = Level(low, low + width, "test")
    drawn = oil_level.draw_off(reading, Amount(span, "litre", Kind.VOLUME)).value.magnitude
    assert drawn >= 0
    if reading.highest > 1:
        assert reading.highest - drawn / span <= 1
        assert reading.lowest - drawn / span >= -Decimal("0.1") / span  # rounded up to a tenth of a litre
    else:
        assert drawn == 0


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
    assert marks.status(level(low, high)) == status


def test_poured_and_read_must_agree() -> None:
    capacity = amount("4.3 L")
    # 3.5 L in a 4.3 L engine with 1.0 L between the marks: 0.8 L under the full mark, or 0.5 with old oil left behind
    should = marks.expected(amount("3.5 L"), capacity, LITRE)
    assert (should.lowest, should.highest) == (Decimal("0.2"), Decimal("0.5"))
    assert marks.disagreement(level("0.1", "0.4"), amount("3.5 L"), capacity, LITRE) == ""
    assert "lower" in marks.disagreement(level("-0.5", "-0.1"), amount("3.5 L"), capacity, LITRE)
    assert "old oil" in marks.disagreement(level("0.9", "1.1"), amount("3.5 L"), capacity, LITRE)


@pytest.mark.parametrize(
    ("low", "high", "says"),
    # 0.2 to 0.5 of the span are expected; a quarter of the span more or less is within the reading (common practice)
    [("-0.2", "-0.06", "lower"), ("-0.2", "-0.04", ""), ("0.74", "0.9", ""), ("0.76", "0.9", "higher")],
)
def test_a_quarter_of_the_span_apart_is_still_agreement(low: str, high: str, says: str) -> None:
    found = marks.disagreement(level(low, high), amount("3.5 L"), amount("4.3 L"), LITRE)
    assert says in found
    assert bool(found) is bool(says)


@pytest.mark.parametrize(("low", "high"), [("0.5", "0.2"), ("NaN", "NaN"), ("0", "Infinity")])
def test_what_is_no_reading_is_refused(low: str, high: str) -> None:
    reading = level(low, high)
    for refuse in (
        lambda: marks.status(reading),
        lambda: oil_level.top_up(reading, LITRE, TENTH),
        lambda: oil_level.draw_off(reading, LITRE),
        lambda: marks.disagreement(reading, LITRE, amount("4.3 L"), LITRE),
    ):
        with pytest.raises(ReadingError) as error:
            refuse()
        assert len(error.value.say.split()) <= 15


@pytest.mark.parametrize("span", ["0 L", "-1 L", "30 N·m"])
def test_impossible_spans_are_refused(span: str) -> None:
    reading, apart = level("0", "0.2"), amount(span)
    for refuse in (
        lambda: oil_level.top_up(reading, apart, TENTH),
        lambda: oil_level.draw_off(reading, apart),
        lambda: marks.expected(LITRE, amount("4.3 L"), apart),
    ):
        with pytest.raises(ReadingError):
            refuse()


@pytest.mark.parametrize(
    ("reading", "told"),
    [("halfway", True), ("near low", True), ("below low", False), ("at full", False), ("near full", False)],
)
def test_how_sure_a_top_up_is_is_told_where_something_is_poured_by_a_reading(reading: str, told: bool) -> None:
    found = oil_level.top_up(level_of(reading), amount("1 L"), amount("0.1 L"))
    assert ("missing" in dict(found.more), bool(found.also)) == (told, told)


def test_no_draw_off_without_oil_above_the_mark_tells_how_much_stands_there() -> None:
    assert not oil_level.draw_off(level_of("at full"), amount("1 L")).also
    assert "too much" in dict(oil_level.draw_off(level_of("above full"), amount("1 L")).more)
