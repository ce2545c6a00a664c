"""Holds what is measured of a room and of a microphone. Never alters the sound, and gives no advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy import fft

from assistant.core.hearing.sound.levels import clipped_share, decibel, power
from assistant.core.hearing.sound.mixing import active_power
from assistant.core.types import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray

TELEPHONE = 3_600.0
"""Above it a telephone, or a headset in hands-free mode, carries nothing [hertz]: their band ends at 3.4 kHz
(ITU-T G.712)."""
MAINS = (50.0, 60.0)
FAINTEST_DB = -120.0
"""What silence itself counts as, of full scale [decibel]."""


@dataclass(frozen=True, slots=True)
class Room:
    """A room in which nobody speaks."""

    noise_db: float
    """Level of the noise, of full scale [decibel]."""
    hum: float
    """Share of its power at the mains' frequency and its harmonics, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Voice:
    """A person who says something in a room."""

    level_db: float
    """Level of the active speech, of full scale [decibel]."""
    snr_db: float
    """How far it is above the room's noise [decibel]."""
    clipped: float
    """Share of the samples at full scale, 0 to 1."""
    telephone: bool
    """Whether nothing is there above the band of a telephone."""


def room(samples: NDArray[np.float32]) -> Room:
    """Return what is measured of a room's silence, mono at `RATE`, some seconds long."""
    return Room(decibel(power(samples), FAINTEST_DB), max(_hum(samples, mains) for mains in MAINS))


def voice(samples: NDArray[np.float32], silent: Room) -> Voice:
    """Return what is measured of speech, mono at `RATE`."""
    level = decibel(active_power(samples), FAINTEST_DB)
    noise = 10 ** (silent.noise_db / 10)
    speech = max(10 ** (level / 10) - noise, 1e-2 * noise)
    return Voice(level, decibel(speech, FAINTEST_DB) - silent.noise_db, clipped_share(samples), _is_telephone(samples))


def _spectrum(samples: NDArray[np.float32]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return the frequencies [hertz] and the power at each."""
    windowed = (samples - samples.mean()) * np.hanning(len(samples))
    return fft.rfftfreq(len(samples), 1 / RATE), np.abs(fft.rfft(windowed)) ** 2


def _hum(samples: NDArray[np.float32], mains: float) -> float:
    if len(samples) < RATE:
        return 0.0
    hertz, powers = _spectrum(samples)
    near = np.abs(hertz / mains - np.round(hertz / mains)) * mains < 2.0
    whole = powers[hertz > 20].sum()
    return float(powers[near & (hertz > mains / 2) & (hertz < 1000)].sum() / whole) if whole > 0 else 0.0


def _is_telephone(samples: NDArray[np.float32]) -> bool:
    """Tell whether the top of the band is as empty as no microphone leaves it: 50 dB under the rest."""
    if len(samples) < RATE // 4 or power(samples) == 0:
        return False
    hertz, powers = _spectrum(samples)
    high, low = powers[hertz > TELEPHONE].mean(), powers[(hertz > 200) & (hertz < 3400)].mean()
    return bool(high < low * 1e-5)
