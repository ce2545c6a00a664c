"""Keeps what every engine hears in development sounds, so that `fit_likely.py` can judge it for other thresholds.

    python -m tests.benchmarks.evidence heard.jsonl --count 240
    python -m tests.benchmarks.evidence heard.jsonl --noise grinder --db 10 --count 160
    python -m tests.benchmarks.evidence heard.jsonl --digits FOLDER --every 8
    python -m tests.benchmarks.evidence heard.jsonl --others FOLDER

The sentences are others than those of `hearing.py`, in the same voices. All engines hear what is cut out of a sound,
whether the first is sure or not; speech of others is heard twice, where only phrases are allowed and where a torque is.
"""

from __future__ import annotations

import argparse
import json
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from assistant import wiring
from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import match_settings
from assistant.core.hearing.matching import Phrasebook
from assistant.core.hearing.segmenting import USUAL_END, Segmenter
from assistant.core.types import Heard, Phrase, Utterance, Weighed
from assistant.ears import Ears
from assistant.hear import BLOCK
from assistant.ports import WeighingRecogniser
from tests.benchmarks.hearing import LEAD, TAIL, staged
from tests.benchmarks.sayings import Saying, digits, oil_job, places
from tests.benchmarks.sounds import NOISES, Sound

DEVELOPMENT = 777
"""Seed of the sentences."""
Known = dict[str, Any]


@dataclass(slots=True)
class Recorder:
    """An engine whose last answers are kept."""

    inner: WeighingRecogniser
    name: str
    engine: str
    heard: Heard = field(default_factory=Heard)
    weighed: tuple[Weighed, ...] = ()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.heard, self.weighed = self.inner.hear(utterance, phrases), ()
        return self.heard

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        self.weighed = self.inner.weigh(utterance, texts, heard)
        return self.weighed

    def close(self) -> None:
        self.inner.close()


def commands(count: int, noise: str | None, ratio_db: float) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield sentences of the oil job in the voices in turn, in a noise or a nearly silent room."""
    with tempfile.TemporaryDirectory() as folder:
        for number, saying in enumerate(oil_job(wiring.library(Path()), count, DEVELOPMENT)):
            _, sound = staged(saying.text, number, noise or "", ratio_db, Path(folder), seeds_from=1000)
            yield {"set": f"{noise} {ratio_db:g} dB" if noise else "quiet"}, saying, sound


def single_digits(folder: Path, every: int) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield recordings of single digits where only digits are allowed."""
    for path, saying in digits(folder, every):
        yield {"set": "digits"}, saying, np.pad(wiring.read_sound(path), (LEAD, TAIL))


def others(folder: Path, every: int) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield the WAV files of a folder, which nobody means."""
    for place in places(oil_job(wiring.library(Path()), 10_000)):
        for file in sorted(folder.rglob("*.wav"))[::every]:
            yield (
                {"set": f"not meant, {place.text}"},
                replace(place, text=""),
                np.pad(wiring.read_sound(file), (LEAD, TAIL)),
            )


def cut(sound: Sound, voice: wiring.SileroVoice) -> Iterator[Utterance]:
    """Yield the utterances of a sound."""
    voice.reset()
    segmenter = Segmenter(end_silence=USUAL_END)
    for start in range(0, len(sound) - BLOCK, BLOCK):
        block = sound[start : start + BLOCK].astype(np.float32)
        if utterance := segmenter.push(block, voice(block)):
            yield replace(utterance, amid_talk=segmenter.talk_behind)
    if utterance := segmenter.flush():
        yield replace(utterance, amid_talk=segmenter.talk_behind)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to append to, one line of JSON a sound")
    parser.add_argument("--count", type=int, default=240, help="how many sentences")
    parser.add_argument("--noise", choices=NOISES)
    parser.add_argument("--db", type=float, default=10, help="how far the speech is above the noise")
    parser.add_argument("--digits", type=Path, help="hear the digit recordings of a folder instead")
    parser.add_argument("--others", type=Path, help="hear the WAV files of a folder, which nobody meant, instead")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth file")
    options = parser.parse_args()
    rules, settings = wiring.library(Path()).rules(), match_settings()
    never_sure = replace(settings.likely, accept=float("inf"), doubt=float("-inf"))
    made = wiring.chosen_recognisers(Path(), ["moonshine", "whisper"], rules)
    engines = [Recorder(one, one.name, one.engine) for one in made if isinstance(one, WeighingRecogniser)]
    ears, voice = Ears(Phrasebook(rules, pronounce, settings).judging_by(never_sure), engines), wiring.SileroVoice()
    if options.digits:
        sounds = single_digits(options.digits, options.every)
    elif options.others:
        sounds = others(options.others, options.every)
    else:
        sounds = commands(options.count, options.noise, options.db)
    with options.heard.open("a", encoding="utf-8") as lines:
        for known, saying, sound in sounds:
            utterances = []
            for utterance in cut(sound, voice):
                ears.hear(utterance, saying.phrases)
                answers = [
                    {"heard": asdict(one.heard), "weighed": [asdict(item) for item in one.weighed]} for one in engines
                ]
                utterances.append({"voiced": utterance.voiced, "amid_talk": utterance.amid_talk, "answers": answers})
            row = known | {"text": saying.text, "phrases": [asdict(phrase) for phrase in saying.phrases]}
            lines.write(json.dumps(row | {"utterances": utterances}) + "\n")
            lines.flush()
    ears.close()


if __name__ == "__main__":
    main()
