"""Rows by what is in them, and values between two rows. The table is invented."""

from __future__ import annotations

import pytest

from assistant.core.compute.base.lookup import between, points, row_where, rows_where
from assistant.core.errors import ReadingError

pytestmark = pytest.mark.pure
TABLE = ({"of": "a", "at": "1", "is": "10"}, {"of": "b", "at": "2", "is": "7"}, {"of": "a", "at": "3", "is": "20"})


def test_rows_are_found_by_all_that_is_wanted_of_them() -> None:
    assert list(rows_where(TABLE, of="a")) == [TABLE[0], TABLE[2]]
    assert row_where(TABLE, of="a", at="3") == TABLE[2]
    assert row_where(TABLE, of="b", at="3") is None
    assert points(TABLE, "at", "is", of="a") == [(1, 10), (3, 20)]


def test_between_two_points_it_goes_straight_and_beyond_them_nowhere() -> None:
    line = points(TABLE, "at", "is", of="a")
    assert [between(at, line, "load") for at in (1, 1.5, 2, 3)] == [10, 12.5, 15, 20]
    for at in (0.99, 3.01):
        with pytest.raises(ReadingError, match=r"load of .* is outside of the table, 1 to 3"):
            between(at, line, "load")
