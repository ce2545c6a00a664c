"""Checks what is measured of a room and a voice against sounds whose levels are known by arithmetic."""

import numpy as np
import pytest

from assistant.core.hearing.sound.room import room, voice
from assistant.core.types import RATE

pytestmark = pytest.mark.pure
SECONDS = np.arange(3 * RATE) / RATE


def noise(level_db: float, seed: int = 1) -> np.ndarray:
    return (np.random.default_rng(seed).normal(size=len(SECONDS)) * 10 ** (level_db / 20)).astype(np.float32)


def test_the_level_of_white_noise_and_of_nothing() -> None:
    assert room(noise(-50)).noise_db == pytest.approx(-50, abs=0.3)
    assert room(np.zeros(RATE, np.float32)).noise_db == -120
    assert room(noise(-50)).hum < 0.2


@pytest.mark.parametrize("mains", [50, 60])
def test_a_hum_with_harmonics_is_told_from_hiss(mains: int) -> None:
    hum = sum(np.sin(2 * np.pi * mains * n * SECONDS) / n for n in (1, 2, 3)) * 0.05
    assert room((hum + noise(-60)).astype(np.float32)).hum > 0.9


@pytest.mark.parametrize("ratio_db", [0, 10, 20])
def test_the_ratio_of_speech_to_noise(ratio_db: int) -> None:
    both = noise(-50) + noise(-50 + ratio_db, seed=2)
    assert voice(both.astype(np.float32), room(noise(-50))).snr_db == pytest.approx(ratio_db, abs=0.5)


def test_a_telephone_band_is_known_by_its_empty_top() -> None:
    spectrum = np.fft.rfft(noise(-20))
    spectrum[np.fft.rfftfreq(len(SECONDS), 1 / RATE) > 3400] *= 1e-4  # ITU-T G.712: 300 to 3400 Hz
    silent = room(noise(-90))
    assert voice(np.fft.irfft(spectrum).astype(np.float32), silent).telephone
    assert not voice(noise(-20), silent).telephone


def test_clipping_is_counted() -> None:
    assert voice(np.clip(noise(0) * 2, -1, 1), room(noise(-60))).clipped > 0.5
