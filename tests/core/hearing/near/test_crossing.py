"""Checks by hand what comes of two texts of which each has a part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.hearing.near.crossing import crossed

pytestmark = pytest.mark.pure
TEXTS = st.lists(st.sampled_from(["two", "small", "filters", "in", "a", "box"]), max_size=6).map(" ".join)


def test_each_stretch_in_which_two_texts_differ_is_exchanged_by_itself() -> None:
    one, other = "two small filters in a box", "two large filters in a tray to go"
    assert list(crossed(one, other)) == ["two large filters in a box", "two small filters in a tray to go"]
    assert list(crossed(other, one)) == ["two small filters in a tray to go", "two large filters in a box"]


def test_what_one_of_them_lacks_is_a_stretch_too() -> None:
    assert list(crossed("filters in a box", "two filters in a box to go")) == [
        "two filters in a box", "filters in a box to go",
    ]  # fmt: skip
    assert list(crossed("filters to go", "filters")) == ["filters"]


@given(TEXTS, TEXTS)
def test_nothing_new_comes_of_the_same_and_every_word_is_of_one_of_them(one: str, other: str) -> None:
    assert list(crossed(one, one)) == []
    found = list(crossed(one, other))
    assert bool(found) == (one.split() != other.split())
    assert all(set(text.split()) <= {*one.split(), *other.split()} for text in found)
