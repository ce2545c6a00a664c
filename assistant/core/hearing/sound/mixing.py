"""Holds how noise is laid under speech at a wanted ratio. Takes the levels of both from where somebody speaks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import ReadingError
from assistant.core.types import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray

FRAME = RATE // 50
"""20 ms."""
SPAN_DB = 30.0
"""Frames so far below the loudest one are pauses [decibel]. In the spirit of ITU-T P.56, which leaves pauses
out by a threshold under the level of speech; the number is this program's own."""
NOISE_SPAN_DB = 15.9
"""A stretch of noise so far below the level of the whole is a pause of it [decibel]: laid under speech it would have
to be raised until what is around it drowns all. ITU-T P.56 sets its threshold so far below the level of speech."""
FADE = RATE // 100
"""Over 10 ms the end of a noise that is repeated goes over into its beginning, so that the joint does not click."""
LOWEST_DB, HIGHEST_DB = -40.0, 100.0
"""Ratios that are believed [decibel]."""
PEAK = 0.99
"""Magnitude down to which a mixture is scaled that would clip; under `levels.FULL_SCALE`."""


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """A sound, and what was laid under it."""

    samples: NDArray[np.float32]
    noise_start: int | None = None
    """Where in the noise the stretch begins that lies under the sound [sample]; None where none does."""
    snr_db: float | None = None
    """How far the speech lies above that stretch [decibel]; None likewise."""


def active_power(samples: NDArray[np.float32]) -> float:
    """Return the mean square of the frames in which somebody speaks; 0 where there is no sound."""
    powers = _powers(samples)
    return float(powers[_is_active(powers)].mean()) if len(powers) else 0.0


def require_mixable(noise: NDArray[np.float32], snr_db: float) -> None:
    """Raise ReadingError for noise without sound, and for a ratio not from `LOWEST_DB` to `HIGHEST_DB`."""
    if not (isfinite(snr_db) and LOWEST_DB <= snr_db <= HIGHEST_DB):
        message = f"a ratio of {snr_db:g} dB can't be mixed: {LOWEST_DB:g} to {HIGHEST_DB:g} dB are allowed"
        raise ReadingError(message, say="That ratio of speech to noise can't be mixed.")
    if len(noise) == 0 or np.ptp(noise) == 0:
        message = "the noise holds no sound, so no ratio can be reached: give another recording"
        raise ReadingError(message, say="The noise holds no sound.")


def mixed(
    speech: NDArray[np.float32], noise: NDArray[np.float32], snr_db: float, seed: Sequence[int] = (0,)
) -> Mixture:
    """Return speech with a stretch of noise under it; scaled down as a whole where it would clip.

    `snr_db` is the ratio of two mean squares, both over the frames in which somebody speaks, each frame about its
    mean: that of the speech to that of the noise which lies under it just then [decibel, `LOWEST_DB` to `HIGHEST_DB`].
    As in ITU-T P.56 pauses of the speech don't count, here for the noise too: what it does before and after the words
    makes them no harder to hear. A place for the stretch is drawn by the numbers of `seed`, the same for the
    same numbers; a place is passed over where the noise pauses under the speech (`NOISE_SPAN_DB`). Noise that is
    shorter than the speech is repeated. Sound in which nobody speaks is left as it is. Raises ReadingError as
    `require_mixable` does, and where the noise pauses at every place.
    """
    require_mixable(noise, snr_db)
    loudness = active_power(speech)
    if loudness == 0:
        return Mixture(speech)
    is_active = _is_active(_powers(speech))
    floor = float(_powers(noise).mean()) * 10 ** (-NOISE_SPAN_DB / 10)
    for start, under in _stretches(noise, len(speech), np.random.default_rng(seed)):
        level = float(_powers(under)[is_active].mean())
        if level >= floor > 0:
            gain = sqrt(loudness / level / 10 ** (snr_db / 10))
            return Mixture(_laid_under(speech, gain * (under - under.mean(dtype=np.float64))), start, snr_db)
    message = "nowhere does the noise sound long enough to lie under the speech: give a longer, or a steadier recording"
    raise ReadingError(message, say="The noise is too short, or has too many pauses.")


def _powers(samples: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return the mean square of each frame about its mean; a sound that is shorter than a frame is one."""
    size = max(1, min(FRAME, len(samples)))
    frames = samples[: len(samples) // size * size].reshape(-1, size)
    powers: NDArray[np.float64] = np.var(frames, axis=1, dtype=np.float64)
    return powers


def _is_active(powers: NDArray[np.float64]) -> NDArray[np.bool_]:
    active: NDArray[np.bool_] = powers >= powers.max(initial=0.0) * 10 ** (-SPAN_DB / 10)
    return active


def _stretches(
    noise: NDArray[np.float32], length: int, chance: np.random.Generator
) -> Iterator[tuple[int, NDArray[np.float32]]]:
    """Yield stretches of a length with where each begins, every `FRAME` one, in an order by chance."""
    if len(noise) < length:
        noise = _loop(noise)
        count = -(-len(noise) // FRAME)
        noise = np.resize(noise, len(noise) + length)
    else:
        count = (len(noise) - length) // FRAME + 1
    for start in (FRAME * chance.permutation(count)).tolist():
        yield start, noise[start : start + length]


def _loop(noise: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return noise that can be repeated: its last `FADE` is faded into its first, at a constant sum of powers."""
    fade = min(FADE, len(noise) // 2)
    turn = np.linspace(0, np.pi / 2, fade, endpoint=False, dtype=np.float32)
    loop = noise[: len(noise) - fade].copy()
    loop[:fade] = np.sin(turn) * noise[:fade] + np.cos(turn) * noise[len(noise) - fade :]
    return loop


def _laid_under(speech: NDArray[np.float32], noise: NDArray[np.float64]) -> NDArray[np.float32]:
    both = speech.astype(np.float64) + noise
    peak = float(np.abs(both).max())
    return (both * (PEAK / peak if peak > 1 else 1)).astype(np.float32)
