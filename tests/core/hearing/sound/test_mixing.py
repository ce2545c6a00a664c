"""Checks mixtures against ratios that are known by construction: the mean square of a sine is half its amplitude's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.errors import ReadingError
from assistant.core.hearing.sound.levels import FULL_SCALE
from assistant.core.hearing.sound.mixing import FADE, FRAME, active_power, mixed
from assistant.core.types import RATE

pytestmark = pytest.mark.pure


def tone(seconds: float, amplitude: float, hertz: float = 400.0) -> np.ndarray:
    return (amplitude * np.sin(2 * np.pi * hertz * np.arange(int(seconds * RATE)) / RATE)).astype(np.float32)


def silence(seconds: float) -> np.ndarray:
    return np.zeros(int(seconds * RATE), dtype=np.float32)


def level(ratio: float) -> float:
    """ISO 80000-8:2020: a level difference is 10 lg of the ratio of the mean squares [decibel]."""
    return float(10 * np.log10(ratio))


def hiss(seconds: float, amplitude: float = 0.1, seed: int = 1) -> np.ndarray:
    """Noise whose mean square is that of the amplitude, the peaks no higher than twice that."""
    chance = np.random.default_rng(seed)
    return (amplitude * np.sqrt(3) * chance.uniform(-1, 1, int(seconds * RATE))).astype(np.float32)


def level_under(speech: np.ndarray, both: np.ndarray, begin: float, end: float) -> float:
    """The ratio of speech to what was laid under it between two times [decibel]: by nothing but sums of squares."""
    part = slice(int(begin * RATE), int(end * RATE))
    laid = both.astype(np.float64) - speech
    return 10 * np.log10(np.sum(speech[part].astype(np.float64) ** 2) / np.sum(laid[part] ** 2))


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
    both = mixed(SPEECH, noise, snr_db).samples
    under = both[:RATE]  # nobody speaks in the first second
    spoken = both[RATE : 2 * RATE]
    assert level(np.var(spoken) / np.var(under)) == pytest.approx(level(10 ** (snr_db / 10) + 1), abs=0.25)


def test_the_speech_itself_is_left_as_it_is() -> None:
    both = mixed(SPEECH, tone(30, 1.0, 1000.0), 20).samples  # wherever it begins, 20 ms are 20 periods
    np.testing.assert_allclose(both - SPEECH, 0.02 * tone(10, 1.0, 1000.0), atol=1e-4)


@pytest.mark.parametrize("seconds", [0.05, 3, 30])
def test_noise_is_repeated_or_cut_to_the_length(seconds: float) -> None:
    both = mixed(SPEECH, hiss(seconds), 10).samples
    assert len(both) == len(SPEECH)
    assert np.var(both[-RATE:]) == pytest.approx(0.1 * 0.2**2 / 2, rel=0.05)


def test_what_would_clip_is_scaled_down_as_a_whole() -> None:
    loud = np.concatenate([tone(1, 0.95), silence(1)])
    both = mixed(loud, tone(3, 0.5, 1000.0), 0).samples
    assert np.abs(both).max() < FULL_SCALE
    assert level(np.var(both[:RATE]) / np.var(both[RATE:])) == pytest.approx(level(2), abs=0.1)


def test_silence_stays_silence_for_no_ratio_to_it_is_a_ratio() -> None:
    for nothing in (silence(1), silence(0)):
        both = mixed(nothing, tone(1, 0.5), 6)
        np.testing.assert_array_equal(both.samples, nothing)
        assert (both.noise_start, both.snr_db) == (None, None)


@pytest.mark.parametrize("snr_db", [float("nan"), float("inf"), float("-inf"), -41, 101])
def test_ratios_that_are_none_are_refused(snr_db: float) -> None:
    with pytest.raises(ReadingError, match="-40 to 100 dB are allowed") as caught:
        mixed(SPEECH, tone(1, 0.5), snr_db)
    assert len(caught.value.say.split()) <= 15


@pytest.mark.parametrize("noise", [silence(1), silence(0), silence(1) + np.float32(0.1)])
def test_noise_without_sound_is_refused(noise: np.ndarray) -> None:
    with pytest.raises(ReadingError, match="holds no sound"):
        mixed(SPEECH, noise, 6)


@given(st.integers(1, 4000), st.integers(320, 4000), st.floats(-40, 100))
def test_no_mixture_clips_or_is_no_number(speech: int, noise: int, snr_db: float) -> None:
    chance = np.random.default_rng(speech)
    both = mixed(
        chance.uniform(-1, 1, speech).astype(np.float32), chance.uniform(-1, 1, noise).astype(np.float32), snr_db
    ).samples
    assert np.isfinite(both).all()
    assert np.abs(both).max() <= 1


WORD = np.concatenate([silence(1), tone(1, 0.1), silence(1)])
QUIET_FIRST = np.concatenate([hiss(10, 0.001), hiss(20, 0.1)])
"""40 dB quieter in its first third."""


@pytest.mark.parametrize("seed", range(40))
def test_a_quiet_beginning_of_the_noise_neither_counts_nor_lies_under_speech(seed: int) -> None:
    both = mixed(WORD, QUIET_FIRST, 6, (seed,))
    assert level_under(WORD, both.samples, 1, 2) == pytest.approx(6, abs=0.05)
    assert both.noise_start is not None
    assert both.noise_start + 2 * RATE > 10 * RATE  # under the end of the word the noise has begun


@pytest.mark.parametrize("seed", range(20))
def test_the_level_is_that_of_the_very_stretch(seed: int) -> None:
    # It rises by 12 dB in a minute, so the whole is up to 8 dB away from what lies under a word.
    rising = hiss(60) * np.logspace(-0.6, 0, 60 * RATE, dtype=np.float32)
    assert level_under(WORD, mixed(WORD, rising, 6, (seed,)).samples, 1, 2) == pytest.approx(6, abs=0.05)


def test_noise_counts_only_while_somebody_speaks() -> None:
    # As long as the sound, so there is one place only; 10 dB louder before and after the word.
    noise = np.concatenate([hiss(1, 0.1), hiss(1, 0.0316), hiss(1, 0.1)])
    both = mixed(WORD, noise, 15).samples
    assert level_under(WORD, both, 1, 2) == pytest.approx(15, abs=0.05)
    before = both[:RATE].astype(np.float64)
    assert level(0.1**2 / 2 / np.mean(before**2)) == pytest.approx(5, abs=0.1)


def test_the_same_numbers_give_the_same_mixture_and_others_another_place() -> None:
    once, again = (mixed(WORD, QUIET_FIRST, 6, (7, 3)) for _ in range(2))
    np.testing.assert_array_equal(once.samples, again.samples)
    assert once.noise_start == again.noise_start
    starts = [mixed(WORD, QUIET_FIRST, 6, (7, clip)).noise_start for clip in range(40)]
    assert len(set(starts)) > 35
    assert min(filter(None, starts)) < 13 * RATE  # from 9 to 27 s all places will do
    assert max(filter(None, starts)) > 23 * RATE
    assert starts != [mixed(WORD, QUIET_FIRST, 6, (8, clip)).noise_start for clip in range(40)]


@pytest.mark.parametrize("seed", range(5))
def test_what_lies_under_the_speech_is_what_the_noise_holds_there(seed: int) -> None:
    both = mixed(WORD, QUIET_FIRST, 6, (seed,))
    assert both.snr_db == 6
    assert both.noise_start is not None
    there = QUIET_FIRST[both.noise_start : both.noise_start + len(WORD)]
    assert np.corrcoef(both.samples - WORD, there)[0, 1] == pytest.approx(1, abs=1e-5)


def test_every_place_is_used_up_to_the_end_of_the_noise() -> None:
    noise = hiss(3 + 2.5 * FRAME / RATE)
    starts = {mixed(WORD, noise, 6, (seed,)).noise_start for seed in range(40)}
    assert starts == {0, FRAME, 2 * FRAME}


@pytest.mark.parametrize("seed", range(8))
def test_short_noise_is_repeated_without_a_click_at_the_joint(seed: int) -> None:
    # A slow wave that ends at another height than it begins: joined as it is, it would leap by 1.
    slope = np.linspace(-0.5, 0.5, RATE // 2, dtype=np.float32) + tone(0.5, 0.01)
    both = mixed(WORD, slope, 6, (seed,))
    laid = both.samples - WORD
    assert np.abs(np.diff(laid)).max() < 0.03 * np.ptp(laid)
    period = len(slope) - FADE
    np.testing.assert_allclose(laid[period:], laid[:-period], atol=1e-6)
    assert both.noise_start is not None
    assert both.noise_start < period


def test_the_joint_is_as_loud_as_the_rest() -> None:
    # Two stretches of noise are unlike, so the powers add up; a straight fade would be 3 dB softer in the middle.
    powers = []
    for seed in range(60):
        both = mixed(WORD, hiss(0.5, seed=seed), 6, (seed,))
        assert both.noise_start is not None
        joint = len(hiss(0.5)) - FADE - both.noise_start
        laid = (both.samples - WORD)[joint + FADE // 4 : joint + FADE * 3 // 4]
        powers.append(np.mean(laid.astype(np.float64) ** 2))
    assert level(np.mean(powers) / (0.1**2 / 2)) == pytest.approx(-6, abs=0.5)


@pytest.mark.parametrize("seed", range(20))
def test_places_at_which_the_noise_pauses_are_passed_over(seed: int) -> None:
    noise = np.concatenate([silence(20), hiss(4, 0.1), silence(20)])
    both = mixed(WORD, noise, 6, (seed,))
    assert level_under(WORD, both.samples, 1, 2) == pytest.approx(6, abs=0.05)
    assert both.noise_start is not None
    assert 18 * RATE < both.noise_start < 23 * RATE


@pytest.mark.parametrize("seed", range(5))
def test_a_word_in_a_gap_of_the_noise_is_not_drowned_by_what_is_around(seed: int) -> None:
    # The word fits into the gaps, which lie 25 dB below the bursts: raised to it, the bursts would drown it.
    noise = np.tile(np.concatenate([hiss(1, 0.1), hiss(1, 0.1 * 10 ** (-25 / 20))]), 10)
    word = np.concatenate([silence(1), tone(0.3, 0.1), silence(1)])
    laid = mixed(word, noise, 10, (seed,)).samples - word
    assert level(0.1**2 / 2 / np.mean(laid.astype(np.float64) ** 2)) > 10 - 15.9


@pytest.mark.parametrize("noise", [np.concatenate([hiss(0.5), silence(30)]), np.concatenate([silence(30), hiss(0.5)])])
def test_noise_that_can_not_lie_under_the_speech_is_refused(noise: np.ndarray) -> None:
    # It sounds at its edge only, which never lies under the middle of a sound.
    with pytest.raises(ReadingError, match=r"nowhere does the noise sound .* give a longer, or a steadier recording"):
        mixed(WORD, noise, 6)


def test_a_constant_offset_of_the_noise_is_not_laid_under() -> None:
    both = mixed(WORD, hiss(30) + np.float32(0.3), 6).samples
    assert abs(float((both - WORD).mean())) < 1e-4
    assert level_under(WORD, both, 1, 2) == pytest.approx(6, abs=0.05)
