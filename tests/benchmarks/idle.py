"""Prints what listening costs while nobody speaks: processor time, and the memory of all processes.

    python -m tests.benchmarks.idle [--minutes 5]

Sound goes in as fast as it is taken, so the share of a core is the time used over the length of the sound. Memory is
what the kernel counts as resident, pages that processes share counted in each.
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path

import numpy as np

from assistant import wiring
from assistant.commands.hear import BLOCK
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import RATE, Utterance
from assistant.path.ears import Ears
from assistant.path.stream import Stream
from tests.benchmarks.hearing import engines
from tests.benchmarks.sayings import oil_job
from tests.benchmarks.sounds import NOISES

QUIET = 0.002
"""Loudness of a microphone in a silent room, full scale being 1."""


def resident() -> tuple[int, float]:
    """Return how many processes this one and its children are, and their resident memory together [MiB]."""
    mine = [
        Path(f"/proc/{os.getpid()}"),
        *(each for each in Path("/proc").glob("[0-9]*") if _parent(each) == os.getpid()),
    ]
    kilobytes = [_field(each / "status", "VmRSS:") for each in mine]
    return len(mine), sum(kilobytes) / 1024


def _parent(process: Path) -> int:
    try:
        return _field(process / "status", "PPid:")
    except OSError:
        return 0


def _field(file: Path, name: str) -> int:
    lines = (line.split() for line in file.read_text().splitlines())
    return next((int(words[1]) for words in lines if words and words[0] == name), 0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=5.0, help="how much sound of each kind")
    parser.add_argument("--engines", metavar="NAMES", help="with commas between them; without it, those of a job")
    options = parser.parse_args()
    library = wiring.library(Path())
    rules, phrases = library.rules(), oil_job(library, 1)[0].phrases
    ears = Ears(wiring.phrasebook(rules), engines(rules, options.engines))
    voice = wiring.SileroVoice()
    stream = Stream(ears, voice, Segmenter())
    for engine in ears.engines:
        engine.hear(Utterance(np.zeros(RATE, np.float32), 0), phrases)  # both loaded, as in a job
    length = int(options.minutes * 60) * RATE
    print("| while nobody speaks | sound | of one core |\n|---|---|---|")
    rooms = {"silent room": np.random.default_rng(1).normal(0, QUIET, length).astype(np.float32)}
    rooms |= {name: 0.05 * NOISES[name](length, 1) for name in NOISES if name != "radio"}
    for name, sound in rooms.items():
        began = time.process_time() + sum(os.times()[2:4])
        for start in range(0, length - BLOCK, BLOCK):
            stream.push(sound[start : start + BLOCK], lambda: phrases)
        used = time.process_time() + sum(os.times()[2:4]) - began
        print(f"| {name} | {length / RATE / 60:g} min | {100 * used * RATE / length:.1f} % |", flush=True)
    count, megabytes = resident()
    print(f"\nresident memory of {count} processes: {megabytes:.0f} MiB")
    ears.close()


if __name__ == "__main__":
    main()
