"""Holds the sounds of the benchmarks: synthetic voices, and noises of a workshop made by computation.

Synthetic speech is easier than people: figures made from it rank ideas, they promise nothing. Needs the programs
flite and espeak-ng.
"""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.sound_file import read_sound
from assistant.core.hearing.sound.mixing import mixed
from assistant.core.types import RATE

Sound = NDArray[np.float32]

FITTED_VOICES = ("flite awb", "flite rms", "flite slt", "flite kal16", "espeak-ng en-gb", "espeak-ng en-us+f3")
UNSEEN_VOICES = (
    "espeak-ng en-gb-scotland", "espeak-ng en-us+m7", "espeak-ng en-gb-x-rp+f4", "espeak-ng en-us",
    "flite slt duration_stretch=0.85,int_f0_target_mean=210", "flite rms duration_stretch=1.2,int_f0_target_mean=90",
    "flite awb duration_stretch=0.9,int_f0_target_mean=150", "flite kal16 duration_stretch=1.1,int_f0_target_mean=80",
)  # fmt: skip
"""Never used to fit anything. The last four are voices that were, but faster or slower, and higher or lower."""


def say(text: str, voice: str, folder: Path) -> Sound:
    """Return a sentence in a synthetic voice, with a quarter of a second of silence around it."""
    program, name, *features = voice.split()
    file = folder / "said.wav"
    if "gb" not in name:  # American voices know the American spelling only, and say "litres" as no person does
        text = text.replace("litre", "liter").replace("metre", "meter")
    if program == "flite":
        setting = [part for feature in features for one in feature.split(",") for part in ("--setf", one)]
        subprocess.run(["flite", "-voice", name, *setting, "-t", text, "-o", str(file)], check=True)
    else:
        subprocess.run(["espeak-ng", "-v", name, "-w", str(file), text], check=True)
    sound: Sound = np.pad(read_sound(file), RATE // 4)
    return sound


def compressor(length: int, seed: int) -> Sound:
    """Return a compressor's hum with its harmonics, some hiss, and a few hammer blows."""
    chance = np.random.default_rng(seed)
    seconds = np.arange(length) / RATE
    hum = sum(np.sin(2 * np.pi * 49 * n * seconds + n) / n for n in range(1, 30))
    hiss = 0.5 * np.convolve(chance.normal(size=length), np.ones(4) / 4, "same")
    noise: Sound = (hum + hiss + 3 * _blows(length, chance.integers(0, length, 3), chance)).astype(np.float32)
    return noise


def impact_wrench(length: int, seed: int) -> Sound:
    """Return bursts of some twenty blows a second."""
    chance = np.random.default_rng(seed)
    starts = np.arange(0, length, RATE // 20) + chance.integers(0, RATE // 100, len(range(0, length, RATE // 20)))
    on = np.sin(2 * np.pi * 0.7 * np.arange(length) / RATE + chance.uniform(0, 6)) > -0.3
    noise: Sound = (_blows(length, starts[starts < length], chance) * on).astype(np.float32)
    return noise


def grinder(length: int, seed: int) -> Sound:
    """Return the hiss of a grinder: noise that is strongest at 2 to 5 kHz, swelling and sinking."""
    chance = np.random.default_rng(seed)
    white = np.fft.rfft(chance.normal(size=length))
    hertz = np.fft.rfftfreq(length, 1 / RATE)
    shaped = np.fft.irfft(white * np.exp(-(((hertz - 3500) / 1500) ** 2)) + 0.1 * white, length)
    swell = 1 + 0.5 * np.sin(2 * np.pi * 0.5 * np.arange(length) / RATE + chance.uniform(0, 6))
    noise: Sound = (shaped * swell).astype(np.float32)
    return noise


def radio(length: int, seed: int) -> Sound:
    """Return three synthetic voices talking at once, as from a radio and people beside it."""
    chance = np.random.default_rng(seed)
    mix = np.zeros(length)
    for sound in (_talk()[place] for place in chance.choice(len(_talk()), 3, replace=False)):
        mix += np.resize(np.roll(sound, chance.integers(len(sound))), length) / np.std(sound)
    noise: Sound = mix.astype(np.float32)
    return noise


NOISES = {"compressor": compressor, "impact wrench": impact_wrench, "grinder": grinder, "radio": radio}

SPARE = 2 * RATE
"""So much longer a noise is made than the sound: more than two bursts of the impact wrench, so that there is a place
where it does not pause under a word."""


def in_noise(sound: Sound, name: str, ratio_db: float, seed: int) -> Sound:
    """Return a sound with a noise under it, whose speech is so far above what of the noise lies under it [decibel]."""
    return mixed(sound, NOISES[name](len(sound) + SPARE, seed), ratio_db, (seed,)).samples


def _blows(length: int, starts: NDArray[np.int64], chance: np.random.Generator) -> NDArray[np.float64]:
    blows = np.zeros(length)
    for start in starts:
        tail = np.arange(min(length - start, RATE // 4)) / RATE
        blows[start : start + len(tail)] += np.exp(-tail * 40) * np.sin(2 * np.pi * chance.uniform(800, 3000) * tail)
    return blows


@cache
def _talk() -> tuple[Sound, ...]:
    import tempfile

    said = "Good evening and welcome. Tonight we talk about gardens, football, the weather and the supper."
    with tempfile.TemporaryDirectory() as folder:
        return tuple(say(said, voice, Path(folder)) for voice in FITTED_VOICES)
