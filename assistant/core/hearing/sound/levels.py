"""Holds how loud sound is and whether it can be speech at all. Never alters the sound."""

from __future__ import annotations

from enum import StrEnum
from math import log10
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

FULL_SCALE = 0.999
"""Magnitude from which a sample counts as clipped: the two top codes of 16 bits lie above it."""
MUTE_SPREAD = 10 ** (-80 / 20)
"""Half the span of the samples under which nothing was recorded: −80 dB of full scale, some three codes
of 16 bits. An open microphone's own noise lies above it (common practice, no source)."""
CLIPPED_LIMIT = 0.01
"""Share of clipped samples from which words suffer (common practice, no source)."""


class SoundFault(StrEnum):
    """What is wrong with the sound as a whole; the value is what to tell the person."""

    EMPTY = "The recording has no sound in it."
    SILENT = "I hear nothing at all. The microphone is muted or not connected."
    CLIPPED = "The sound is too loud. Turn the microphone down or move away from it."


def power(samples: NDArray[np.float32]) -> float:
    """Return the mean square about the mean, so that a constant offset does not count; 0 where empty."""
    return float(np.var(samples, dtype=np.float64)) if len(samples) else 0.0


def decibel(loudness: float, faintest: float) -> float:
    """Return a power as a level of full scale, not below the faintest [decibel]."""
    return max(faintest, 10 * log10(loudness)) if loudness > 0 else faintest


def clipped_share(samples: NDArray[np.float32]) -> float:
    """Return the share of the samples at full scale, 0 to 1."""
    return float(np.mean(np.abs(samples) >= FULL_SCALE)) if len(samples) else 0.0


def is_mute(samples: NDArray[np.float32]) -> bool:
    """Tell whether the samples hardly differ from one another, as from a muted microphone."""
    return len(samples) == 0 or float(np.ptp(samples)) / 2 < MUTE_SPREAD


def inspect_sound(samples: NDArray[np.float32]) -> SoundFault | None:
    """Return what makes the sound useless or doubtful; None where it is sound to listen to."""
    if len(samples) == 0:
        return SoundFault.EMPTY
    if is_mute(samples):
        return SoundFault.SILENT
    if clipped_share(samples) > CLIPPED_LIMIT:
        return SoundFault.CLIPPED
    return None
