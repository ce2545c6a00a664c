"""Prints one table of how well and how fast it hears: through the voice detector, the cutting and the engines of a job.

    python -m tests.benchmarks.hearing [--part commands] [--count 360] [--heard FILE]
    python -m tests.benchmarks.hearing --part digits --digits FOLDER
    python -m tests.benchmarks.hearing --part prompts --prompts FOLDER
    python -m tests.benchmarks.hearing --part talk --hours 5

The voices are synthetic, which is easier than people; digits and prompts are people. Latency is from the end of speech
to the verdict, where no number is waited for.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import numpy as np

from assistant import wiring
from assistant.commands.hear import Timed, listened
from assistant.core.grammar.jsgf import Rules
from assistant.core.hearing.sound.mixing import mixed
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.found import Match
from assistant.core.types import RATE, Hypothesis, Phrase, Verdict
from assistant.path.ears import Ears
from assistant.path.stream import Stream
from assistant.ports import Recogniser
from tests.benchmarks.sayings import Saying, digits, oil_job, orders, other_talk, places
from tests.benchmarks.sounds import FITTED_VOICES, NOISES, UNSEEN_VOICES, Sound, in_noise, say

VOICES = (*UNSEEN_VOICES[:4], *FITTED_VOICES)
LEAD, TAIL = RATE // 2, RATE
MICROPHONE_DB = 40.0
"""How far speech is above the hiss of a microphone, which is never quite silent."""
NOISE_LEAD = 10 * RATE
"""Noise is there long before somebody speaks: a radio does not begin with him."""


@dataclass(slots=True)
class Row:
    """A line of the table."""

    name: str
    outcomes: Counter[str] = field(default_factory=Counter)
    latencies: list[float] = field(default_factory=list)
    began: float = field(default_factory=time.perf_counter)

    def __str__(self) -> str:
        total = max(1, self.outcomes.total())
        shares = "  ".join(f"{self.outcomes[each] / total:6.3f}" for each in ("right", "asked", "silent", "wrong"))
        late = np.quantile(self.latencies, (0.5, 0.95)) if self.latencies else (float("nan"),) * 2
        took = time.perf_counter() - self.began
        return f"{self.name:34} {total:5}  {shares}  {late[0]:5.2f} {late[1]:5.2f}  {took:6.0f}"


HEADER = f"{'what':34} {'sounds':>5}   right   asked  silent   wrong  latency p95  seconds"


def engines(rules: Rules, names: str | None = None) -> tuple[Recogniser, ...]:
    """Return the engines of short names with commas between them, or those that a job has."""
    data = wiring.default_data()
    if names is None:
        return wiring.recognisers(data, print, rules)
    return wiring.chosen_recognisers(data, names.split(","), rules)


class Bench:
    """Ears, and what listens with them."""

    def __init__(self, rules: Rules, heard: Path | None, names: str | None = None) -> None:
        self.ears = Ears(wiring.phrasebook(rules), engines(rules, names))
        self._voice = wiring.SileroVoice()
        self._heard = heard.open("a", encoding="utf-8") if heard else None

    def listen(self, sound: Sound, phrases: Sequence[Phrase]) -> Iterator[Timed]:
        """Yield what was said in a sound."""
        self._voice.reset()
        return listened(Stream(self.ears, self._voice, Segmenter()), sound, phrases)

    def wanted(self, saying: Saying) -> object:
        """Return the meaning of a sentence, found word for word."""
        match = self.ears.read(Hypothesis(saying.text, 0.0, "script"), saying.phrases)
        assert match.best, saying.text
        return match.best.meaning

    def judge(self, row: Row, saying: Saying, sound: Sound, known: dict[str, Any]) -> None:
        """Count what came of a sentence: the first thing that is taken, or asked, of what was cut."""
        found, wanted = list(self.listen(sound, saying.phrases)), self.wanted(saying)
        came = outcome([one.spoken.match for one in found], wanted)
        row.outcomes[came] += 1
        routine = not any("<" in phrase.says for phrase in saying.phrases)  # a number may go on, and is waited for
        row.latencies += [found[-1].late] if found and routine else []
        if self._heard:
            matches = [
                {"words": spoken.match.best and spoken.match.best.words, "verdict": str(spoken.match.verdict),
                 "score": spoken.match.best and round(spoken.match.best.score, 3),
                 "margin": round(min(99.0, spoken.match.margin), 2), "snr": spoken.utterance.snr_db,
                 "written": [text.text for text in spoken.match.heard]}
                for spoken in (one.spoken for one in found)
            ]  # fmt: skip
            self._heard.write(
                json.dumps(
                    known | {"text": saying.text, "came": came, "late": [one.late for one in found], "found": matches}
                )
                + "\n"
            )
            self._heard.flush()


def outcome(matches: Sequence[Match], wanted: object) -> str:
    """Return what came of a sound in which something was meant."""
    taken = [match for match in matches if match.verdict is Verdict.ACCEPTED]
    if taken:
        return "right" if all(match.best and match.best.meaning == wanted for match in taken) else "wrong"
    return "asked" if any(match.verdict is Verdict.UNCLEAR for match in matches) else "silent"


def spoken(sayings: Sequence[Saying], ratio_db: float | None) -> Iterator[tuple[Saying, Sound, dict[str, Any]]]:
    """Yield each sentence in one of the voices, in turn, with noises of a workshop in turn."""
    with tempfile.TemporaryDirectory() as folder:
        for number, saying in enumerate(sayings):
            noise = list(NOISES)[number // len(VOICES) % len(NOISES)] if ratio_db is not None else ""
            voice, sound = staged(saying.text, number, noise, ratio_db or 0, Path(folder))
            yield saying, sound, {"voice": voice, "noise": noise, "db": ratio_db}


def staged(text: str, number: int, noise: str, ratio_db: float, folder: Path, seeds_from: int = 0) -> tuple[str, Sound]:
    """Return the voice whose turn it is, and its sentence in a noise; without one, in a nearly silent room."""
    voice = VOICES[number % len(VOICES)]
    sound = np.pad(say(text, voice, folder), (NOISE_LEAD if noise else LEAD, TAIL))
    if noise:
        return voice, in_noise(sound, noise, ratio_db, seeds_from + number)
    hiss = np.random.default_rng(number).normal(size=len(sound)).astype(np.float32)
    return voice, mixed(sound, hiss, MICROPHONE_DB).samples


def speech(
    name: str, bench: Bench, sayings: Sequence[Saying], ratios: Iterable[float | None], show: Callable[[object], None]
) -> None:
    """Show a row for each ratio of speech to noise, and below it one for each noise."""
    for ratio in ratios:
        whole = Row(f"{name}, {'quiet' if ratio is None else f'{ratio:g} dB'}")
        parts: dict[str, Counter[str]] = {}
        for saying, sound, known in spoken(sayings, ratio):
            before = whole.outcomes.copy()
            bench.judge(whole, saying, sound, known)
            parts.setdefault(known["noise"], Counter()).update(whole.outcomes - before)
        show(whole)
        for noise, outcomes in parts.items() if ratio is not None else ():
            show(Row(f"    {noise}", outcomes))


def refused(name: str, bench: Bench, sounds: Iterable[tuple[str, Sound]], saying: Saying) -> Row:
    """Return a row for sounds that nobody meant: what is taken of them is wrong."""
    row = Row(name)
    for label, sound in sounds:
        for one in bench.listen(np.pad(sound, (LEAD, TAIL)), saying.phrases):
            match = one.spoken.match
            if match.verdict is Verdict.NOT_FOR_ME:
                row.outcomes["silent"] += 1
            else:
                row.outcomes["wrong" if match.verdict is Verdict.ACCEPTED else "asked"] += 1
                print(f"    {label}: {match.best and match.best.words!r}, {match.verdict}", flush=True)
    return row


def talk(hours: float) -> Iterator[tuple[str, Sound]]:
    """Yield paragraphs read by voices in turn, each again in another one, until so many hours are over."""
    seconds = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for (number, text), voice in zip(enumerate(cycle(other_talk())), cycle(FITTED_VOICES), strict=False):
            sound = say(text[:600], voice, Path(folder))
            before, seconds = seconds, seconds + len(sound) / RATE
            yield f"{number} ({voice})", sound
            if seconds // 1800 > before // 1800:
                print(f"    {seconds / 3600:.1f} h of talk", file=sys.stderr, flush=True)
            if seconds > 3600 * hours:
                return


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--part", choices=("commands", "orders", "digits", "prompts", "talk"), default="commands")
    parser.add_argument("--count", type=int, default=360, help="how many sentences")
    parser.add_argument("--every", type=int, default=1, help="only every so many digits or prompts")
    parser.add_argument("--digits", type=Path, help="folder of the digit recordings")
    parser.add_argument("--prompts", type=Path, help="folder of WAV files with speech that nobody meant")
    parser.add_argument("--hours", type=float, default=5.0, help="how much other talk")
    parser.add_argument("--engines", metavar="NAMES", help="with commas between them; without it, those of a job")
    parser.add_argument("--heard", type=Path, metavar="FILE", help="keep what was heard, one line of JSON a sound")
    options = parser.parse_args()
    library = wiring.library(Path())
    sayings, rules = orders(options.count) if options.part == "orders" else (oil_job(library, 10_000), library.rules())
    bench = Bench(rules, options.heard, options.engines)
    next(iter(bench.listen(np.zeros(RATE, np.float32), sayings[0].phrases)), None)
    print(HEADER, flush=True)

    def show(row: object) -> None:
        print(row, flush=True)

    if options.part == "commands":
        speech("oil job", bench, list(islice(cycle(sayings), options.count)), (None, 10, 0), show)
    elif options.part == "orders":
        speech("orders, six slots", bench, sayings, (None, 15, 6), show)
    elif options.part == "digits":
        _digits(bench, options, show)
    else:
        sounds = talk(options.hours) if options.part == "talk" else _files(options)
        for saying in places(sayings):
            show(refused(f"{options.part}: {saying.text}", bench, sounds, saying))
            sounds = talk(options.hours) if options.part == "talk" else _files(options)
    for fault in bench.ears.faults:
        print(f"an engine was left out from then on: {fault}")
    bench.ears.close()


def _files(options: argparse.Namespace) -> Iterator[tuple[str, Sound]]:
    for file in sorted(options.prompts.glob("*.wav"))[:: options.every]:
        yield file.stem, wiring.read_sound(file)


def _digits(bench: Bench, options: argparse.Namespace, show: Callable[[object], None]) -> None:
    rows = {name: Row(f"digits, {name}") for name in ("jackson", "lucas", "nicolas", "yweweler", "all")}
    for path, saying in digits(options.digits, options.every):
        row = rows[path.name.split("_")[1]]
        before = row.outcomes.copy()
        sound = np.pad(wiring.read_sound(path), (LEAD, TAIL))
        bench.judge(row, saying, sound, {"file": path.name})
        rows["all"].outcomes.update(row.outcomes - before)
    for row in rows.values():
        show(row)


if __name__ == "__main__":
    main()
