"""The pauses after which what failed is tried again, and the pace."""

from __future__ import annotations

import pytest

from assistant.core.job.pauses import QUICK_IN_A_ROW, Pace, Pauses

pytestmark = pytest.mark.pure


def test_pauses_grow_to_ten_seconds_and_no_further() -> None:
    pauses, lengths = Pauses(), []
    for _ in range(8):
        pauses = pauses.failed(100.0)
        lengths.append(pauses.length)
    assert lengths == [0.5, 1, 2, 4, 8, 10, 10, 10]
    assert Pauses(10_000).failed(0.0).length == 10


def test_it_is_waited_for_the_pause_and_no_longer() -> None:
    assert Pauses().wait(5.0) == 0
    once = Pauses().failed(5.0)
    assert once.wait(5.0) == 0.5
    assert once.wait(5.4) == pytest.approx(0.1)
    assert once.wait(99.0) == 0


def test_slow_is_told_once_and_that_it_is_over_once() -> None:
    pace, told = Pace(), []
    quick = [0.3] * QUICK_IN_A_ROW
    for seconds in (0.3, 4.0, 5.0, 0.3, 4.0, *quick[1:], 2.0, *quick, 0.3, 2.0):
        before, pace = pace, pace.after(seconds)
        if before.slow != pace.slow:
            told.append((seconds, pace.slow))
    assert told == [(4.0, True), (0.3, False)]
