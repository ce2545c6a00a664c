"""Says the commands of `commands.yaml` with several synthetic voices, and keeps what Whisper wrote.

Speech that must be refused comes from a folder of sound files.

    python -m tests.benchmarks.hear_commands heard.jsonl
    python -m tests.benchmarks.hear_commands heard.jsonl --noise 10
    python -m tests.benchmarks.hear_commands unseen.jsonl --unseen
    python -m tests.benchmarks.hear_commands heard.jsonl --others FOLDER
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections.abc import Iterator
from itertools import islice, product
from pathlib import Path
from typing import Any

import yaml

from assistant.adapters.library import Library, read_manifest
from assistant.adapters.recogniser_whisper import WhisperRecogniser
from assistant.adapters.sound_file import read_sound
from assistant.core.types import Phrase, Utterance
from tests.benchmarks.sounds import FITTED_VOICES, NOISES, UNSEEN_VOICES, Sound, in_noise, say

COMMANDS = yaml.safe_load(Path(__file__).with_name("commands.yaml").read_text(encoding="utf-8"))
Known = dict[str, Any]


def phrases(library: Library) -> list[Phrase]:
    """Return the general phrases and those made up for the benchmark: more than any step allows."""
    general = [phrase for phrase in library.phrases() if phrase.intent != "go-on"]
    return [*general, *(Phrase(intent, text) for intent, texts in COMMANDS["phrases"].items() for text in texts)]


def commands(ratio_db: float | None, unseen: bool) -> Iterator[tuple[Known, Sound]]:
    """Yield each command in each voice, with what is known about it."""
    said = [*COMMANDS["said"], *(COMMANDS["unseen"] if unseen else ())]
    with tempfile.TemporaryDirectory() as folder:
        for seed, (voice, entry) in enumerate(product(UNSEEN_VOICES if unseen else FITTED_VOICES, said)):
            sound = say(entry["text"], voice, Path(folder))
            known = {"text": entry["text"], "voice": voice, "noise": "quiet", "kind": ""}
            if ratio_db is not None:
                kind = list(NOISES)[seed % len(NOISES)]
                known |= {"noise": f"{ratio_db:g} dB", "kind": kind}
                sound = in_noise(sound, kind, ratio_db, seed)
            yield known, sound


def others(folder: Path) -> Iterator[tuple[Known, Sound]]:
    """Yield each WAV file of a folder as speech that is not meant."""
    for file in sorted(folder.rglob("*.wav")):
        yield {"text": None, "voice": file.stem, "noise": "quiet", "kind": ""}, read_sound(file)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to append to, one line of JSON a sound")
    parser.add_argument("--noise", type=float, metavar="DB", help="how far the speech is above workshop noise")
    parser.add_argument("--others", type=Path, help="hear the WAV files of a folder, which nobody meant, instead")
    parser.add_argument("--unseen", action="store_true", help="the voices and sentences that nothing is fitted to")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth sound")
    options = parser.parse_args()
    whisper = WhisperRecogniser(read_manifest().digests("whisper-tiny-en"), threads=1, deadline=60)
    sounds = others(options.others) if options.others else commands(options.noise, options.unseen)
    with options.heard.open("a", encoding="utf-8") as lines:
        for known, sound in islice(sounds, 0, None, options.every):
            written = whisper.hear(Utterance(sound, 0)).written
            lines.write(json.dumps(known | {"hypotheses": [[one.text, one.score] for one in written]}) + "\n")
            lines.flush()
    whisper.close()


if __name__ == "__main__":
    main()
