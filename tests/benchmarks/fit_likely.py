"""Fits the thresholds of the verdict on one half of what `evidence.py` kept, and prints what they do on the other.

python -m tests.benchmarks.fit_likely heard.jsonl ...          # how the thresholds in models/matching.yaml do
python -m tests.benchmarks.fit_likely heard.jsonl ... --fit    # look for better ones

The ears are those of a job; only the engines are replaced, by their answers.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np

from assistant import wiring
from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import match_settings
from assistant.core.hearing.found import Match, Meaning
from assistant.core.hearing.judging import JudgeSettings
from assistant.core.hearing.matching import Phrasebook
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.ears import Ears
from tests.benchmarks.hearing import outcome

OUTCOMES = ("right", "asked", "silent", "wrong")
COSTS = {"right": 0.0, "asked": 1.0, "silent": 1.0, "wrong": 15.0}
"""What each outcome costs where something was meant: a wrong action is far worse than a second try. A choice."""
COSTS_OF_TALK = {"silent": 0.0, "asked": 0.5, "wrong": 30.0}
"""The same where nothing was meant."""


@dataclass(slots=True)
class Replay:
    """An engine that gives the answers that it gave."""

    name: str
    heard: Heard
    weighed: tuple[Weighed, ...]
    engine: str = "replay"

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        return self.heard

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        return self.weighed

    def close(self) -> None:
        pass


class RememberingBook(Phrasebook):
    """Looks only once for what sounds alike: no threshold changes that."""

    def by_sound(self, heard: Sequence[Heard], phrases: Sequence[Phrase]) -> dict[str, float]:
        """Return the few phrases that sound most like what was written, with their scores."""
        return self._by_sound(tuple(one.written for one in heard), tuple(phrases))

    @cache  # noqa: B019 - it lives as long as the program
    def _by_sound(self, written: tuple[tuple[Hypothesis, ...], ...], phrases: tuple[Phrase, ...]) -> dict[str, float]:
        return super().by_sound([Heard(texts) for texts in written], phrases)


@dataclass(frozen=True, slots=True)
class Case:
    """A sound, what it means (None: nothing), and what each engine made of each utterance in it."""

    kind: str
    wanted: Meaning | None
    phrases: tuple[Phrase, ...]
    utterances: tuple[tuple[Utterance, tuple[Heard, ...], tuple[tuple[Weighed, ...], ...]], ...]


def cases(files: Iterable[Path], ears: Ears) -> list[Case]:
    """Return the sounds of files that `evidence.py` made."""
    found = []
    for line in (line for file in files for line in file.read_text(encoding="utf-8").splitlines()):
        row = json.loads(line)
        phrases = tuple(Phrase(**one) for one in row["phrases"])
        match = ears.read(Hypothesis(row["text"], 0.0, "script"), phrases) if row["text"] else None
        utterances = tuple(_utterance(one) for one in row["utterances"])
        found.append(Case(row["set"], match.best.meaning if match and match.best else None, phrases, utterances))
    return found


def _utterance(one: Mapping[str, Any]) -> tuple[Utterance, tuple[Heard, ...], tuple[tuple[Weighed, ...], ...]]:
    utterance = Utterance(np.zeros(1, np.float32), 0, voiced=one["voiced"], amid_talk=one["amid_talk"])
    heard = tuple(
        Heard(tuple(Hypothesis(**text) for text in answer["heard"]["written"]), _weighed(answer["heard"]["allowed"]))
        for answer in one["answers"]
    )
    return utterance, heard, tuple(_weighed(answer["weighed"]) for answer in one["answers"])


def _weighed(items: Iterable[Mapping[str, Any]]) -> tuple[Weighed, ...]:
    return tuple(Weighed(**item) for item in items)


def judged(case: Case, book: Phrasebook) -> str:
    """Return what comes of a sound with these thresholds."""
    matches: list[Match] = []
    for utterance, heard, weighed in case.utterances:
        engines = [Replay("replay", one, two) for one, two in zip(heard, weighed, strict=True)]
        matches.append(Ears(book, engines).hear(utterance, case.phrases))
    if case.wanted is not None:
        return outcome(matches, case.wanted)
    verdicts = {match.verdict for match in matches}
    return "wrong" if Verdict.ACCEPTED in verdicts else "asked" if Verdict.UNCLEAR in verdicts else "silent"


def cost(heard: Sequence[Case], book: Phrasebook) -> float:
    """Return what the outcomes of all sounds cost together."""
    return sum((COSTS if case.wanted is not None else COSTS_OF_TALK)[judged(case, book)] for case in heard)


def report(name: str, heard: Sequence[Case], book: Phrasebook) -> None:
    """Print how often each outcome came, by kind of sound."""
    counts: dict[str, Counter[str]] = {}
    for case in heard:
        counts.setdefault(case.kind, Counter())[judged(case, book)] += 1
    print(f"{name:42} sounds   " + "  ".join(f"{each:>6}" for each in OUTCOMES))
    for kind, came in counts.items():
        print(f"  {kind:40} {came.total():6}   " + "  ".join(f"{came[each] / came.total():6.3f}" for each in OUTCOMES))


def fitted(heard: Sequence[Case], book: Phrasebook, start: JudgeSettings) -> JudgeSettings:
    """Return the thresholds that cost least."""
    grid = product((-0.45, -0.35, -0.25, -0.15), (-0.65, -0.6, -0.55, -0.5, -0.45), (0.03, 0.05, 0.1))
    tried = [replace(start, accept=accept, together=together, apart=apart) for accept, together, apart in grid]
    return min(tried, key=lambda settings: cost(heard, book.judging_by(settings)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    parser.add_argument("--fit", action="store_true", help="look for thresholds that cost less")
    options = parser.parse_args()
    book = RememberingBook(wiring.library(Path()).rules(), pronounce, match_settings())
    heard = cases(options.heard, Ears(book))
    report("as it is", heard, book)
    if options.fit:
        for fit_on, judge_on in ((heard[::2], heard[1::2]), (heard[1::2], heard[::2])):
            found = fitted(fit_on, book, match_settings().likely)
            print(f"\nfitted on one half: {found}")
            report("on the other half", judge_on, book.judging_by(found))


if __name__ == "__main__":
    main()
