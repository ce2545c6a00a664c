"""Says the commands of `commands.yaml` with several synthetic voices, and keeps what the recogniser wrote down.

Synthetic speech is easier than people: figures made from it rank ideas, they promise nothing. Needs the
programs flite and espeak-ng; speech that must be refused comes from a folder of sound files.

    python -m tests.benchmarks.hear_commands heard.jsonl
    python -m tests.benchmarks.hear_commands heard.jsonl --noise 10
    python -m tests.benchmarks.hear_commands unseen.jsonl --unseen
    python -m tests.benchmarks.hear_commands heard.jsonl --others FOLDER
"""

from __future__ import annotations

import argparse
import json
import subprocess
import tempfile
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import numpy as np
import yaml
from numpy.typing import NDArray

from assistant.adapters.library import read_manifest
from assistant.adapters.recogniser_whisper import WhisperRecogniser
from assistant.adapters.sound_file import read_sound
from assistant.core.hearing.mixing import mixed
from assistant.core.types import RATE, Utterance

VOICES = ("flite awb", "flite rms", "flite slt", "flite kal16", "espeak-ng en-gb", "espeak-ng en-us+f3")
UNSEEN_VOICES = ("espeak-ng en-gb-scotland", "espeak-ng en-us+m7", "espeak-ng en-gb-x-rp+f4")
"""Never used to fit anything."""

Sound = NDArray[np.float32]


def say(text: str, voice: str, folder: Path) -> Sound:
    """Return a sentence in a synthetic voice, with a quarter of a second of silence around it."""
    program, name = voice.split()
    file = folder / "said.wav"
    if "gb" not in name:  # American voices know the American spelling only, and say "litres" as no person does
        text = text.replace("litre", "liter").replace("metre", "meter")
    if program == "flite":
        subprocess.run(["flite", "-voice", name, "-t", text, "-o", str(file)], check=True)
    else:
        subprocess.run(["espeak-ng", "-v", name, "-w", str(file), text], check=True)
    sound: Sound = np.pad(read_sound(file), RATE // 4)
    return sound


def garage(length: int, seed: int) -> Sound:
    """Return made-up garage noise: a compressor's hum with its harmonics, hiss, and hammer blows."""
    chance = np.random.default_rng(seed)
    seconds = np.arange(length) / RATE
    hum = sum(np.sin(2 * np.pi * 49 * n * seconds + n) / n for n in range(1, 30))
    hiss = 0.5 * np.convolve(chance.normal(size=length), np.ones(4) / 4, "same")
    blows = np.zeros(length)
    for start in chance.integers(0, length, 3):
        tail = np.arange(length - start) / RATE
        blows[start:] += 3 * np.exp(-tail * 40) * np.sin(2 * np.pi * chance.uniform(800, 3000) * tail)
    noise: Sound = (hum + hiss + blows).astype(np.float32)
    return noise


def commands(ratio_db: float | None, unseen: bool) -> Iterator[tuple[dict[str, str | None], Sound]]:
    """Yield each command in each voice, with what is known about it."""
    known_to = yaml.safe_load(Path(__file__).with_name("commands.yaml").read_text(encoding="utf-8"))
    said = [*known_to["said"], *(known_to["unseen"] if unseen else ())]
    with tempfile.TemporaryDirectory() as folder:
        for seed, (voice, entry) in enumerate(product(UNSEEN_VOICES if unseen else VOICES, said)):
            sound = say(entry["text"], voice, Path(folder))
            known = {"text": entry["text"], "voice": voice, "noise": "quiet"}
            if ratio_db is not None:
                known["noise"] = f"{ratio_db:g} dB"
                sound = mixed(sound, garage(len(sound), seed), ratio_db)
            yield known, sound


def others(folder: Path) -> Iterator[tuple[dict[str, str | None], Sound]]:
    """Yield each WAV file of a folder as speech that is not meant."""
    for file in sorted(folder.rglob("*.wav")):
        yield {"text": None, "voice": file.stem, "noise": "quiet"}, read_sound(file)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to append to, one line of JSON a sound")
    parser.add_argument("--noise", type=float, metavar="DB", help="how far the speech is above garage noise")
    parser.add_argument(
        "--others", type=Path, help="hear the WAV files of a folder, without commands and numbers, instead"
    )
    parser.add_argument("--unseen", action="store_true", help="the voices and sentences that nothing is fitted to")
    options = parser.parse_args()
    recogniser = WhisperRecogniser(read_manifest().digests("whisper-tiny-en"), threads=1, deadline=60)
    with options.heard.open("a", encoding="utf-8") as lines:
        for known, sound in others(options.others) if options.others else commands(options.noise, options.unseen):
            hypotheses = recogniser.hear(Utterance(sound, 0))
            lines.write(json.dumps(known | {"hypotheses": [[h.text, h.score] for h in hypotheses]}) + "\n")
            lines.flush()
    recogniser.close()


if __name__ == "__main__":
    main()
