"""Checks levels against the definitions of full scale and of clipping."""

import numpy as np
import pytest

from assistant.core.hearing.sound.levels import SoundFault, clipped_share, inspect_sound, is_mute, power
from assistant.core.types import RATE

pytestmark = pytest.mark.pure


def sine(amplitude: float) -> np.ndarray:
    return (amplitude * np.sin(2 * np.pi * 440 * np.arange(RATE) / RATE)).astype(np.float32)


def test_a_sine_of_full_scale_has_half_the_power_of_one() -> None:
    # AES17-2020 sets 0 dB FS by a full-scale sine; its mean square is 1/2, whose root is 0.7071.
    assert power(sine(1.0)) == pytest.approx(0.5, rel=1e-6)


def test_an_offset_is_no_sound() -> None:
    assert power(sine(0.1) + np.float32(0.5)) == pytest.approx(0.005, rel=1e-4)
    assert power(np.full(100, 0.5, dtype=np.float32)) == 0


def test_nothing_has_no_power() -> None:
    nothing = np.zeros(0, dtype=np.float32)
    assert power(nothing) == 0
    assert clipped_share(nothing) == 0


@pytest.mark.parametrize("code", [32767, -32768])
def test_the_outermost_codes_of_16_bits_are_clipped(code: int) -> None:
    assert clipped_share(np.array([code / 32768], dtype=np.float32)) == 1


def test_a_sine_driven_to_twice_full_scale_is_clipped_two_thirds_of_the_time() -> None:
    # |sin| ≥ 1/2 from 30° to 150° of each half turn: 120 of 180 degrees.
    assert clipped_share(np.clip(sine(2.0), -1, 1)) == pytest.approx(2 / 3, abs=0.01)


@pytest.mark.parametrize(
    ("samples", "fault"),
    [
        (np.zeros(0, dtype=np.float32), SoundFault.EMPTY),
        (np.zeros(RATE, dtype=np.float32), SoundFault.SILENT),
        (np.full(RATE, -0.25, dtype=np.float32), SoundFault.SILENT),
        (sine(1 / 32768), SoundFault.SILENT),
        (sine(0.01), None),
        (sine(0.9), None),
        (np.clip(sine(1.5), -1, 1), SoundFault.CLIPPED),
    ],
    ids=["empty", "zeros", "constant", "one code of 16 bits", "quiet", "loud", "clipped"],
)
def test_what_is_wrong_with_a_sound(samples: np.ndarray, fault: SoundFault | None) -> None:
    assert inspect_sound(samples) is fault


def test_a_fault_is_told_in_few_words() -> None:
    assert all(len(fault.value.split()) <= 15 for fault in SoundFault)


def test_a_living_microphone_is_not_mute() -> None:
    assert is_mute(sine(1 / 32768))
    assert not is_mute(sine(0.001))
