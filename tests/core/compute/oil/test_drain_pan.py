"""The size of the drain pan: arithmetic; its margin is common practice, no source."""

from __future__ import annotations

import pytest

from assistant.core.compute.oil import drain_pan
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import amount

pytestmark = pytest.mark.pure


def test_the_pan_holds_what_most_cars_hold() -> None:
    # EPA 530-F-94-008: most cars take 4 to 5 US quarts
    assert drain_pan.least_size(amount("5 US qt")).value == amount("7 US qt")


def test_a_pan_is_never_smaller_than_a_quarter_more_than_the_capacity() -> None:
    # 4.3 x 1.25 = 5.375, rounded up
    assert drain_pan.least_size(amount("4.3 L")).value == amount("6 L")


@pytest.mark.parametrize("capacity", ["0 L", "-4 L", "4 kg"])
def test_impossible_capacities_are_refused(capacity: str) -> None:
    with pytest.raises(ReadingError) as error:
        drain_pan.least_size(amount(capacity))
    assert len(error.value.say.split()) <= 15
