"""Holds how noise is laid under speech at a wanted ratio. Takes the level of speech from where somebody speaks."""

from __future__ import annotations

from math import isfinite, sqrt
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import ReadingError
from assistant.core.hearing.levels import power
from assistant.core.types import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray

FRAME = RATE // 50
"""20 ms."""
SPAN_DB = 30.0
"""Frames so far below the loudest one are pauses [decibel]. In the spirit of ITU-T P.56, which leaves pauses
out by a threshold under the level of speech; the number is this program's own."""
LOWEST_DB, HIGHEST_DB = -40.0, 100.0
"""Ratios that are believed [decibel]."""
PEAK = 0.99
"""Magnitude down to which a mixture is scaled that would clip; under `levels.FULL_SCALE`."""


def active_power(samples: NDArray[np.float32]) -> float:
    """Return the mean square of the frames in which somebody speaks; 0 where there is no sound."""
    if len(samples) < FRAME:
        return power(samples)
    frames = samples[: len(samples) // FRAME * FRAME].reshape(-1, FRAME)
    powers = np.var(frames, axis=1, dtype=np.float64)
    active = powers[powers >= powers.max() * 10 ** (-SPAN_DB / 10)]
    return float(active.mean())


def mixed(speech: NDArray[np.float32], noise: NDArray[np.float32], snr_db: float) -> NDArray[np.float32]:
    """Return speech with noise under it, as long as the speech; scaled down as a whole where it would clip.

    `snr_db` is the ratio of the active frames of the speech to the whole of the noise [decibel], `LOWEST_DB`
    to `HIGHEST_DB`. Noise is repeated, or cut, to the length. Raises ReadingError for another ratio, and for
    noise without sound.
    """
    if not (isfinite(snr_db) and LOWEST_DB <= snr_db <= HIGHEST_DB):
        message = f"a ratio of {snr_db:g} dB can't be mixed: {LOWEST_DB:g} to {HIGHEST_DB:g} dB are allowed"
        raise ReadingError(message, say="That ratio of speech to noise can't be mixed.")
    if power(noise) == 0:
        message = "the noise holds no sound, so no ratio can be reached: give another recording"
        raise ReadingError(message, say="The noise holds no sound.")
    under = np.resize(noise, len(speech))
    gain = sqrt(active_power(speech) / power(noise) / 10 ** (snr_db / 10))
    both = speech.astype(np.float64) + gain * under
    peak = float(np.abs(both).max(initial=0.0))
    return (both * (PEAK / peak if peak > 1 else 1)).astype(np.float32)
