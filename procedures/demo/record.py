"""Makes the demonstration's recordings anew: `python procedures/demo/record.py`. Not part of the program.

Needs `flite` (Debian package). The voice is flite's "rms", unlike the assistant's; a workshop is mixed in from
numpy: compressor hum, hiss, and now and then the clang of a tool, 18 decibels below the voice (the level of the
voice taken from its active parts). The turn that is marked unclear lies between two phrases, as people do say it.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile
import soxr
import yaml

HERE = Path(__file__).parent
RATE = 16_000
VOICE = "rms"
SNR_DB = 18.0
STRETCH = 1.1
LEAD, TAIL = 0.6, 0.9


def main() -> None:
    """Record every turn of every demonstration."""
    for script in sorted(HERE.glob("*.yaml")):
        folder = HERE / script.stem
        folder.mkdir(exist_ok=True)
        turns = [turn for turn in yaml.safe_load(script.read_text(encoding="utf-8"))["turns"] if isinstance(turn, dict)]
        for number, turn in enumerate(turns, 1):
            sound = record(turn["say"], np.random.default_rng(number))
            soundfile.write(folder / f"{number:02d}.ogg", sound, RATE, format="OGG", subtype="VORBIS")


def record(text: str, chance: np.random.Generator) -> np.ndarray:
    """Return one turn in the workshop's noise."""
    voice = spoken(text)
    sound = np.concatenate([np.zeros(int(LEAD * RATE)), voice, np.zeros(int(TAIL * RATE))])
    noise = workshop(len(sound), chance)
    level = np.sqrt(np.mean(voice[np.abs(voice) > 0.1 * np.abs(voice).max()] ** 2))
    noise *= level / np.sqrt(np.mean(noise**2)) * 10 ** (-SNR_DB / 20)
    mixed = sound + noise
    return (0.5 * mixed / np.abs(mixed).max()).astype(np.float32)


def spoken(text: str) -> np.ndarray:
    """Return a text in flite's voice, mono, at 16 kHz."""
    with tempfile.NamedTemporaryFile(suffix=".wav") as file:
        slower = ["--setf", f"duration_stretch={STRETCH}"]
        subprocess.run(["flite", "-voice", VOICE, *slower, "-t", text, "-o", file.name], check=True)
        samples, rate = soundfile.read(file.name)
    return soxr.resample(samples, rate, RATE)


def workshop(length: int, chance: np.random.Generator) -> np.ndarray:
    """Return compressor hum, hiss and perhaps a clang."""
    time = np.arange(length) / RATE
    hum = sum(np.sin(2 * np.pi * 49.5 * number * time + chance.uniform(0, 6)) / number for number in (1, 2, 3, 5))
    hiss = chance.normal(size=length) * 0.35
    noise = hum + hiss
    if chance.uniform() < 0.2:
        start = int(chance.uniform(0.05, 0.3) * RATE)
        ring = sum(np.sin(2 * np.pi * tone * time) for tone in (1740, 2930, 4410)) * np.exp(-6 * time)
        noise[start:] += 1.5 * ring[: length - start]
    return noise


if __name__ == "__main__":
    main()
