"""Checks the high-pass against the closed form of a Butterworth filter."""

import numpy as np
import pytest

from assistant.core.errors import ReadingError
from assistant.core.hearing.sound.high_pass import HighPass
from assistant.core.types import RATE

pytestmark = pytest.mark.pure


def gain_of(corner: float, frequency: int) -> float:
    """Return the measured gain: a whole second, once the first second has settled the filter."""
    wave = np.sin(2 * np.pi * frequency * np.arange(2 * RATE) / RATE).astype(np.float32)
    settled = HighPass(corner)(wave)[RATE:]
    return float(np.sqrt(2 * np.mean(np.square(settled, dtype=np.float64))))


@pytest.mark.parametrize("corner", [120.0, 130.0, 150.0])
@pytest.mark.parametrize("frequency", [25, 50, 100, 130, 200, 1000, 5000])
def test_the_gain_is_that_of_a_second_order_butterworth(corner: float, frequency: int) -> None:
    # S. Butterworth, "On the Theory of Filter Amplifiers", 1930: |H|² = 1 / (1 + (corner/f)⁴) for order two,
    # with both frequencies bent by tan(πf/rate), as the bilinear transform does (Audio EQ Cookbook, W3C 2021).
    ratio = np.tan(np.pi * corner / RATE) / np.tan(np.pi * frequency / RATE)
    assert gain_of(corner, frequency) == pytest.approx(1 / np.sqrt(1 + ratio**4), rel=1e-3)


def test_a_constant_is_taken_out() -> None:
    assert abs(HighPass()(np.ones(RATE, dtype=np.float32))[-1]) < 1e-6


def test_blocks_give_what_the_whole_gives() -> None:
    noise = np.random.default_rng(1).standard_normal(5000).astype(np.float32)
    streaming = HighPass()
    pieces = [streaming(piece) for piece in np.split(noise, [1, 513, 2000, 2000])]
    np.testing.assert_array_equal(np.concatenate(pieces), HighPass()(noise))


def test_reset_forgets() -> None:
    noise = np.random.default_rng(2).standard_normal(512).astype(np.float32)
    used = HighPass()
    first = used(noise)
    assert not np.array_equal(used(noise), first)
    used.reset()
    np.testing.assert_array_equal(used(noise), first)


@pytest.mark.parametrize("corner", [0.0, -1.0, RATE / 2, float("nan")])
def test_a_corner_that_cannot_be_is_refused(corner: float) -> None:
    with pytest.raises(ReadingError, match="8000 Hz"):
        HighPass(corner)
