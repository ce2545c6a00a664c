"""Keeps what every engine hears in development sounds, so that `fit_likely.py` can judge it for other thresholds.

    python -m tests.benchmarks.evidence heard.jsonl commands --noise grinder --db 10 --count 160
    python -m tests.benchmarks.evidence heard.jsonl elsewhere
    python -m tests.benchmarks.evidence heard.jsonl affirmatives --noise grinder
    python -m tests.benchmarks.evidence heard.jsonl contraries --noise grinder
    python -m tests.benchmarks.evidence heard.jsonl digits --folder FOLDER --every 8
    python -m tests.benchmarks.evidence heard.jsonl others --folder FOLDER [--noise compressor]
    python -m tests.benchmarks.evidence heard.jsonl talk --hours 0.5

The sentences are others than those of `hearing.py`, in the same voices. All engines hear what is cut out of a sound as
from a microphone, whether the first is sure or not. Talk is heard twice, where only phrases are allowed and where a
torque is; "elsewhere" are sentences of the job where they are not allowed.
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
from assistant.adapters.library import match_settings
from assistant.commands.hear import listened
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.found import Match
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.path.ears import Ears
from assistant.path.stream import Stream
from assistant.ports import WeighingRecogniser
from tests.benchmarks import contraries
from tests.benchmarks.hearing import LEAD, NOISE_LEAD, TAIL, engines, staged, talk
from tests.benchmarks.sayings import Saying, digits, oil_job, orders, places
from tests.benchmarks.sounds import NOISES, Sound, in_noise

DEVELOPMENT = 777
"""Seed of the sentences."""
SOUNDS = ("commands", "elsewhere", "affirmatives", "contraries", "orders", "digits", "others", "talk")
Known = dict[str, Any]


@dataclass(slots=True)
class Recorder:
    """An engine whose last answers are kept."""

    inner: WeighingRecogniser
    name: str
    engine: str
    utterance: Utterance = field(default_factory=lambda: Utterance(np.zeros(0, np.float32), 0))
    heard: Heard = field(default_factory=Heard)
    weighed: tuple[Weighed, ...] = ()

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.utterance, self.heard, self.weighed = utterance, self.inner.hear(utterance, phrases), ()
        return self.heard

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        self.weighed = self.inner.weigh(utterance, texts, heard)
        return self.weighed

    def close(self) -> None:
        self.inner.close()


def commands(
    sayings: Sequence[Saying], name: str, noise: str | None, ratio_db: float
) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield sentences in the voices in turn, in a noise or a nearly silent room."""
    with tempfile.TemporaryDirectory() as folder:
        for number, saying in enumerate(sayings):
            _, sound = staged(saying.text, number, noise or "", ratio_db, Path(folder), seeds_from=1000)
            known = {"set": _named(name, noise, ratio_db), "said": saying.text}
            yield known, replace(saying, text="") if name == "elsewhere" else saying, sound


def elsewhere(sayings: Sequence[Saying], ears: Ears) -> list[Saying]:
    """Return each sentence beside what is allowed where the next one is, as far as that does not allow it."""
    moved = [replace(other, text=one.text) for one, other in zip(sayings, [*sayings[1:], sayings[0]], strict=True)]
    return [one for one in moved if not _is_exact(ears.read(Hypothesis(one.text, 0.0, "script"), one.phrases))]


def _is_exact(match: Match) -> bool:
    return match.verdict is Verdict.ACCEPTED and match.best is not None and match.best.score == 0


def denying(library: wiring.Library, count: int, seed: int, *, affirm: bool) -> list[Saying]:
    """Return sentences that affirm, or that deny, each where it is allowed."""
    where = contraries.all_places(library)
    draw = contraries.affirmatives if affirm else contraries.contraries
    return [Saying(case.text, where[case.place]) for case in draw(library, count, seed)]


def talked(hours: float) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield long talk, which nobody means."""
    for place in places(oil_job(wiring.library(Path()), 10_000)):
        for _, sound in talk(hours):
            yield {"set": f"talk, {place.text}"}, replace(place, text=""), np.pad(sound, (LEAD, TAIL))


def single_digits(folder: Path, every: int) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield recordings of single digits where only digits are allowed."""
    for path, saying in digits(folder, every):
        yield {"set": "digits"}, saying, np.pad(wiring.read_sound(path), (LEAD, TAIL))


def others(folder: Path, every: int, noise: str | None, ratio_db: float) -> Iterator[tuple[Known, Saying, Sound]]:
    """Yield the WAV files of a folder, which nobody means, where only phrases are allowed; in a noise, if any."""
    place = replace(places(oil_job(wiring.library(Path()), 10_000))[0], text="")
    for number, file in enumerate(sorted(folder.rglob("*.wav"))[::every]):
        sound = np.pad(wiring.read_sound(file), (NOISE_LEAD if noise else LEAD, TAIL))
        if noise:
            sound = in_noise(sound, noise, ratio_db, 1000 + number)
        yield {"set": _named("others", noise, ratio_db), "said": file.stem}, place, sound


def _named(name: str, noise: str | None, ratio_db: float) -> str:
    return f"{name}, " + (f"{noise} {ratio_db:g} dB" if noise else "quiet")


def main() -> None:
    options = _options()
    made, rules = orders(options.count, options.seed)
    if options.sounds != "orders":
        library = wiring.library(Path())
        made, rules = oil_job(library, options.count, options.seed), library.rules()
    settings = match_settings()
    never_sure = replace(settings.likely, accept=float("inf"), doubt=float("-inf"))
    all_engines = [Recorder(one, one.name, one.engine) for one in engines(rules) if isinstance(one, WeighingRecogniser)]
    ears, voice = Ears(wiring.phrasebook(rules).judging_by(never_sure), all_engines), wiring.SileroVoice()
    match options.sounds:
        case "digits":
            sounds = single_digits(options.folder, options.every)
        case "others":
            sounds = others(options.folder, options.every, options.noise, options.db)
        case "talk":
            sounds = talked(options.hours)
        case name:
            sayings = elsewhere(made, ears) if name == "elsewhere" else made
            if name in ("affirmatives", "contraries"):
                sayings = denying(wiring.library(Path()), options.count, options.seed, affirm=name == "affirmatives")
            sounds = commands(sayings, name, options.noise, options.db)
    with options.heard.open("a", encoding="utf-8") as lines:
        for known, saying, sound in sounds:
            lines.write(json.dumps(known | kept(saying, sound, ears, all_engines, voice)) + "\n")
            lines.flush()
    for fault in ears.faults:
        print(f"left out: {fault}")
    ears.close()


def kept(
    saying: Saying, sound: Sound, ears: Ears, recorders: Sequence[Recorder], voice: wiring.SileroVoice
) -> dict[str, Any]:
    """Return a sentence, what is allowed, and the answers of the engines to each utterance in its sound."""
    utterances = []
    voice.reset()
    for _ in listened(Stream(ears, voice, Segmenter()), sound, saying.phrases):
        answers = [{"heard": asdict(one.heard), "weighed": [asdict(item) for item in one.weighed]} for one in recorders]
        of = recorders[0].utterance
        utterances.append({"voiced": of.voiced, "amid_talk": of.amid_talk, "snr_db": of.snr_db, "answers": answers})
    return {"text": saying.text, "phrases": [asdict(one) for one in saying.phrases], "utterances": utterances}


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="the file to append to, one line of JSON a sound")
    parser.add_argument("sounds", choices=SOUNDS)
    parser.add_argument("--count", type=int, default=240, help="how many sentences")
    parser.add_argument("--seed", type=int, default=DEVELOPMENT, help="of the sentences; other ones with another")
    parser.add_argument("--noise", choices=NOISES)
    parser.add_argument("--db", type=float, default=10, help="how far the speech is above the noise")
    parser.add_argument("--folder", type=Path, help="where the recordings of digits or of others are")
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth recording")
    parser.add_argument(
        "--among", choices=("job", "orders", "digits"), default="job", help="what others are heard among"
    )
    parser.add_argument("--hours", type=float, default=0.5, help="how much talk")
    return parser.parse_args()


if __name__ == "__main__":
    main()
