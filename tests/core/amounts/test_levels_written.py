"""Readings of a dipstick as people write them: exact, or asked again. Parts of the span follow by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.amounts.levels import read_level
from assistant.core.compute.marks import status
from assistant.core.errors import ReadingError

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("text", "middle"),
    [("3/8", 0.375), ("½", 0.5), ("3/4 full", 0.75), ("40%", 0.4), ("forty percent", 0.4), ("98 %", 0.98), ("0 %", 0),
     ("–20 %", -0.2), ("100 %", 1), ("20 mm of 20 mm", 1), ("1/2 in of 5/8 in", 0.8), ("1,5 cm of 3 cm", 0.5),
     ("15 mm above low of 20 mm", 0.75), ("5 mm below full of 20 mm", 0.75), ("5 mm over max of 20 mm", 1.25),
     ("5 mm below the low mark of 20 mm", -0.25), ("5 mm below full, 20 mm between the marks", 0.75),
     ("a quarter below full", 0.75), ("a quarter above low", 0.25), ("20% below full", 0.8), ("three eighths", 0.375),
     ("a quarter of an inch of half an inch", 0.5), ("1 1/2 in of 3 in", 0.5), ("full", 1), ("It is full.", 1),
     ("halfway between low and full", 0.5), ("three quarters of the way up", 0.75), ("at the minimum", 0),
     ("5 mm out of 20 mm", 0.25), ("near low", 0.125), ("halfway between the marks", 0.5)],
)  # fmt: skip
def test_a_reading_is_its_part_of_the_span(text: str, middle: float) -> None:
    level = read_level(text)
    assert float(level.lowest + level.highest) / 2 == pytest.approx(middle)


@pytest.mark.parametrize(
    "text",
    ["not full", "between low and full", "between a quarter and a half", "1/4 to 1/2", "1/4-1/2", "about half", "low",
     "a finger over low", "15 mm above low", "5 mm", "half empty", "full of water", "is it full", "full?", "0.5", "50",
     "two", "almost not full", "1,500 mm of 3 mm", "5 mm of 20 kg", "5 mm of 20", "300 %", "5 mm of 0 mm", "<50 %",
     "more than half", "over a quarter", "40–50 %", "low and full", "", "full low", "nearly", "7/9"],
)  # fmt: skip
def test_what_tells_no_one_place_is_asked_again_with_what_may_be_said(text: str) -> None:
    with pytest.raises(ReadingError) as raised:
        read_level(text)
    assert len(raised.value.say.split()) <= 15
    assert "Allowed" in str(raised.value) or "span" in str(raised.value) or "marks" in str(raised.value)


def test_a_length_from_a_mark_asks_for_the_span() -> None:
    with pytest.raises(ReadingError, match="15 mm above low of 20 mm") as raised:
        read_level("15 mm above low")
    assert "How far apart" in raised.value.say


@pytest.mark.parametrize("text", ["100 %", "20 mm of 20 mm", "1/1", "full", "at the full mark", "98 %", "8/8"])
def test_full_is_full_and_not_over(text: str) -> None:
    assert status(read_level(text)) == "ok"
    assert status(read_level("110 %")) == "over"


_PIECES = ("full", "low", "not", "half", "above", "below", "5", "mm", "of", "20", "%", "a", "quarter", "between", "and",
           "the", "3/8", "-")  # fmt: skip


@given(st.one_of(st.text(max_size=20), st.lists(st.sampled_from(_PIECES), max_size=7).map(" ".join)))
def test_any_text_is_a_reading_in_reach_or_refused(text: str) -> None:
    try:
        level = read_level(text)
    except ReadingError:
        return
    assert -0.7 < level.lowest < level.highest < 1.7
    assert "not" not in text.split() and "between" not in text.replace("between the marks", "")
