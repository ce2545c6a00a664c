"""Checks mixtures against ratios that are known by construction: the mean square of a sine is half its amplitude's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.errors import ReadingError
from assistant.core.hearing.levels import FULL_SCALE
from assistant.core.hearing.mixing import active_power, mixed
from assistant.core.types import RATE

pytestmark = pytest.mark.pure


def tone(seconds: float, amplitude: float, hertz: float = 400.0) -> np.ndarray:
    return (amplitude * np.sin(2 * np.pi * hertz * np.arange(int(seconds * RATE)) / RATE)).astype(np.float32)


def silence(seconds: float) -> np.ndarray:
    return np.zeros(int(seconds * RATE), dtype=np.float32)


def level(ratio: float) -> float:
    """ISO 80000-8:2020: a level difference is 10 lg of the ratio of the mean squares [decibel]."""
    return float(10 * np.log10(ratio))


SPEECH = np.concatenate([silence(1), tone(1, 0.2), silence(2), tone(1, 0.2), silence(5)])


@pytest.mark.parametrize("pauses", [0, 1, 9, 99])
def test_pauses_do_not_lower_the_level_of_speech(pauses: int) -> None:
    # ITU-T P.56 measures the level while speech is present; the mean over all would fall by 10 lg (1 + pauses).
    speech = np.concatenate([tone(1, 0.2), silence(pauses)])
    assert active_power(speech) == pytest.approx(0.2**2 / 2, rel=1e-3)


def test_what_lies_30_db_below_is_a_pause_and_what_lies_20_db_below_is_speech() -> None:
    loud, soft, faint = tone(1, 0.5), tone(1, 0.05), tone(1, 0.005)
    assert active_power(np.concatenate([loud, faint])) == pytest.approx(0.5**2 / 2, rel=1e-3)
    assert active_power(np.concatenate([loud, soft])) == pytest.approx((0.5**2 + 0.05**2) / 4, rel=1e-3)


@pytest.mark.parametrize("snr_db", [-20, -3, 0, 6, 15, 24, 60])
@pytest.mark.parametrize("amplitude", [0.0001, 0.03, 1.0])
def test_the_ratio_in_the_mixture_is_the_wanted_one(snr_db: float, amplitude: float) -> None:
    noise = (amplitude * np.random.default_rng(1).standard_normal(10 * RATE) / 4).astype(np.float32)
    both = mixed(SPEECH, noise, snr_db)
    under = both[:RATE]  # nobody speaks in the first second
    spoken = both[RATE : 2 * RATE]
    assert level(np.var(spoken) / np.var(under)) == pytest.approx(level(10 ** (snr_db / 10) + 1), abs=0.25)


def test_the_speech_itself_is_left_as_it_is() -> None:
    both = mixed(SPEECH, tone(1, 1.0, 1000.0), 20)
    np.testing.assert_allclose(both - SPEECH, 0.02 * tone(10, 1.0, 1000.0), atol=1e-4)


@pytest.mark.parametrize("seconds", [0.05, 3, 30])
def test_noise_is_repeated_or_cut_to_the_length(seconds: float) -> None:
    noise = tone(seconds, 0.3, 1000.0)
    both = mixed(SPEECH, noise, 10)
    assert len(both) == len(SPEECH)
    assert np.var(both[-RATE:]) == pytest.approx(0.1 * 0.2**2 / 2, rel=0.02)


def test_what_would_clip_is_scaled_down_as_a_whole() -> None:
    loud = np.concatenate([tone(1, 0.95), silence(1)])
    both = mixed(loud, tone(1, 0.5, 1000.0), 0)
    assert np.abs(both).max() < FULL_SCALE
    assert level(np.var(both[:RATE]) / np.var(both[RATE:])) == pytest.approx(level(2), abs=0.1)


def test_silence_stays_silence_for_no_ratio_to_it_is_a_ratio() -> None:
    assert not mixed(silence(1), tone(1, 0.5), 6).any()
    assert len(mixed(silence(0), tone(1, 0.5), 6)) == 0


@pytest.mark.parametrize("snr_db", [float("nan"), float("inf"), float("-inf"), -41, 101])
def test_ratios_that_are_none_are_refused(snr_db: float) -> None:
    with pytest.raises(ReadingError, match="-40 to 100 dB are allowed") as caught:
        mixed(SPEECH, tone(1, 0.5), snr_db)
    assert len(caught.value.say.split()) <= 15


@pytest.mark.parametrize("noise", [silence(1), silence(0), silence(1) + np.float32(0.5)])
def test_noise_without_sound_is_refused(noise: np.ndarray) -> None:
    with pytest.raises(ReadingError, match="holds no sound"):
        mixed(SPEECH, noise, 6)


@given(st.integers(1, 4000), st.integers(320, 4000), st.floats(-40, 100))
def test_no_mixture_clips_or_is_no_number(speech: int, noise: int, snr_db: float) -> None:
    chance = np.random.default_rng(speech)
    both = mixed(
        chance.uniform(-1, 1, speech).astype(np.float32), chance.uniform(-1, 1, noise).astype(np.float32), snr_db
    )
    assert np.isfinite(both).all()
    assert np.abs(both).max() <= 1
