"""The short signals before words, one for each tone. Arithmetic only; each has a meaning that can be guessed.

Fundamentals lie between 300 and 1000 Hz, with their harmonics: ISO 24500 wants consumer signals at or below 2500 Hz so
that older ears hear them, and IEC 60601-1-8 pulses of 150 to 1000 Hz with at least four components.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.core.types import RATE, Tone

_PULSES: dict[Tone, tuple[tuple[float, float], ...]] = {
    Tone.PLAIN: (),
    Tone.ASK: ((440.0, 0.09), (587.0, 0.12)),
    Tone.WARN: ((370.0, 0.11), (311.0, 0.16)),
    Tone.ALARM: ((880.0, 0.1), (660.0, 0.1), (880.0, 0.1)),
    Tone.DONE: ((523.0, 0.07),),
}
"""For each tone its pulses: fundamental [hertz] and length [second]."""

_LEVEL = {Tone.ALARM: 0.8}
"""Peak of a tone, where it is not 0.25: an alarm has to be heard over the rest. Speech peaks near 1."""

_HARMONICS = np.arange(1, 5)
_FADE = 0.008
_PAUSE = 0.03


@cache
def signal(tone: Tone) -> NDArray[np.float32]:
    """Return the sound of a tone, mono, −1 to 1, at `RATE`; empty for a plain one; at most 0.4 seconds."""
    pause = np.zeros(int(_PAUSE * RATE))
    parts = [part for pulse in _PULSES[tone] for part in (_pulse(*pulse), pause)]
    sound = np.concatenate([np.zeros(0), *parts]) * _LEVEL.get(tone, 0.25)
    return sound.astype(np.float32)


def _pulse(fundamental: float, seconds: float) -> NDArray[np.float64]:
    time = np.arange(int(seconds * RATE)) / RATE
    wave = np.sin(2 * np.pi * fundamental * np.outer(_HARMONICS, time)).T @ (1 / _HARMONICS)
    edge = np.minimum(1.0, np.minimum(time, seconds - time) / _FADE)
    return edge * wave / np.abs(wave).max()  # type: ignore[no-any-return]
