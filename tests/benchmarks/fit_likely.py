"""Fits what makes a phrase likely where all engines are asked, on what `evidence.py` kept, and prints what comes of it.

python -m tests.benchmarks.fit_likely heard.jsonl ...          # what the weights in models/matching.yaml do
python -m tests.benchmarks.fit_likely heard.jsonl ... --fit    # fit others: a table from halves, and those of all
                                                               # (needs the package scipy)

The ears are those of a job; only the engines are replaced, by their answers.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np

from assistant import wiring
from assistant.adapters.lexicon_cmudict import is_listed, pronounce
from assistant.adapters.library import match_settings
from assistant.core.grammar.jsgf import Rules
from assistant.core.hearing.verdict.found import Found, Match, Meaning
from assistant.core.hearing.verdict.judging import JudgeSettings, rank_together, signs_together
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.hearing.verdict.odds import Signs, Weights
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.path.ears import Ears
from tests.benchmarks.hearing import outcome
from tests.benchmarks.sayings import orders

OUTCOMES = ("right", "asked", "silent", "wrong")
DRAW = 0.02
"""How much the weights are drawn towards 0."""
OTHER = 3.0
"""So often counts what nobody meant: in a workshop there is more of it than is kept here."""
LEAST = 1e-9
"""Nothing counts as less likely, or its logarithm would be infinite."""


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
        return tuple(item for item in self.weighed if item.words in texts)

    def close(self) -> None:
        pass


class RememberingBook(Phrasebook):
    """Looks only once for what sounds alike, which no threshold changes, and keeps the signs that it saw last."""

    def __init__(self, rules: Rules) -> None:
        words = wiring.library(Path()).turning_words()
        super().__init__(rules, pronounce, match_settings(), words, is_listed)
        self.signs: list[tuple[Signs, Found]] = []
        self._near: dict[object, dict[str, float]] = {}

    def judge_together(self, heard: Sequence[Heard], by_sound: Mapping[str, float], phrases: Sequence[Phrase]) -> Match:
        """Return the verdict of all engines."""
        if ranked := rank_together(heard, by_sound, phrases, self._laid_out(phrases), self._settings.likely):
            self.signs[:] = [(signs_together(ranked, heard, self._settings.likely), ranked[0])]
        return super().judge_together(heard, by_sound, phrases)

    def by_sound(self, heard: Sequence[Heard], phrases: Sequence[Phrase]) -> dict[str, float]:
        """Return the few phrases that sound most like what was written, with their scores."""
        key = tuple(one.written for one in heard), tuple(phrases)
        if key not in self._near:
            self._near[key] = super().by_sound(heard, phrases)
        return self._near[key]


@dataclass(frozen=True, slots=True)
class Case:
    """A sound, what it means (None: nothing), and what each engine made of each utterance in it."""

    kind: str
    wanted: Meaning | None
    phrases: tuple[Phrase, ...]
    utterances: tuple[tuple[Utterance, tuple[Heard, ...], tuple[tuple[Weighed, ...], ...]], ...]
    book: RememberingBook


def cases(files: Iterable[Path]) -> list[Case]:
    """Return the sounds of files that `evidence.py` made."""
    job, counter = RememberingBook(wiring.library(Path()).rules()), RememberingBook(orders(0)[1])
    found = []
    for line in (line for file in files for line in file.read_text(encoding="utf-8").splitlines()):
        row = json.loads(line)
        book, phrases = (
            counter if row["set"].startswith("orders") else job,
            tuple(Phrase(**one) for one in row["phrases"]),
        )
        said = Hypothesis(row["text"], 0.0, "script")
        match = book.read(said, book.with_contraries(phrases)) if row["text"] else None
        wanted = match.best.meaning if match and match.best else None
        found.append(Case(row["set"], wanted, phrases, tuple(map(_utterance, row["utterances"])), book))
    return found


def _utterance(one: Mapping[str, Any]) -> tuple[Utterance, tuple[Heard, ...], tuple[tuple[Weighed, ...], ...]]:
    known = {name: one[name] for name in ("voiced", "amid_talk", "snr_db")}
    utterance = Utterance(np.zeros(1, np.float32), 0, **known)
    heard = tuple(
        Heard(
            tuple(Hypothesis(**text) for text in answer["heard"]["written"]),
            _weighed(answer["heard"]["allowed"]),
            answer["heard"]["best"],
        )
        for answer in one["answers"]
    )
    return utterance, heard, tuple(_weighed(answer["weighed"]) for answer in one["answers"])


def _weighed(items: Iterable[Mapping[str, Any]]) -> tuple[Weighed, ...]:
    return tuple(Weighed(**item) for item in items)


def heard_anew(case: Case, book: RememberingBook) -> Iterator[Match]:
    """Yield what the ears of a job make of each utterance."""
    for utterance, heard, weighed in case.utterances:
        engines = [Replay("replay", one, two) for one, two in zip(heard, weighed, strict=True)]
        book.signs.clear()  # copies of the book share it
        yield Ears(book, engines).hear(utterance, case.phrases)


def judged(case: Case, settings: JudgeSettings) -> str:
    """Return what comes of a sound with these thresholds."""
    matches = list(heard_anew(case, case.book.judging_by(settings)))
    if case.wanted is not None:
        return outcome(matches, case.wanted)
    verdicts = {match.verdict for match in matches}
    return "wrong" if Verdict.ACCEPTED in verdicts else "asked" if Verdict.UNCLEAR in verdicts else "silent"


def signs(case: Case) -> Iterator[tuple[Signs, bool, float]]:
    """Yield what tells how likely the best meaning is, whether it was meant, and how often it counts, where all engines
    are asked."""
    for _ in heard_anew(case, case.book):
        for found, best in case.book.signs:
            yield found, best.meaning == case.wanted, OTHER if case.wanted is None else 1.0


def fitted(found: Sequence[tuple[Signs, bool, float]], now: Weights) -> Weights:
    """Return the weights with which what was meant is likeliest (maximum likelihood), hardly drawn towards 0.

    What is rarely said is never meant in these sounds: its weight stays as it is.
    """
    from scipy.optimize import minimize

    names = [each.name for each in fields(Weights) if each.name != "rare"]
    meant = np.array([each for _, each, _ in found])
    times = np.array([often for _, _, often in found])

    def weights_of(values: Sequence[float]) -> Weights:
        return replace(now, **{name: float(value) for name, value in zip(names, values, strict=True)})

    def surprise(values: Sequence[float]) -> float:
        weights = weights_of(values)
        likely = np.clip([weights.of_this(one) for one, _, _ in found], LEAST, 1 - LEAST)
        surprised = -np.average(np.log(np.where(meant, likely, 1 - likely)), weights=times)
        return float(surprised + DRAW / len(found) * np.square(values).sum())

    best = minimize(surprise, np.zeros(len(names)), method="BFGS").x
    return weights_of([round(float(value), 2) for value in best])


def report(name: str, heard: Iterable[tuple[Case, JudgeSettings]]) -> None:
    """Print how often each outcome came, by kind of sound."""
    counts: dict[str, Counter[str]] = {}
    for case, settings in heard:
        counts.setdefault(case.kind, Counter())[judged(case, settings)] += 1
    print(f"{name:42} sounds   " + "  ".join(f"{each:>6}" for each in OUTCOMES))
    for kind, came in counts.items():
        print(f"  {kind:40} {came.total():6}   " + "  ".join(f"{came[each] / came.total():6.3f}" for each in OUTCOMES))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    parser.add_argument("--fit", action="store_true", help="fit the weights anew")
    options = parser.parse_args()
    settings = match_settings().likely
    heard = cases(options.heard)
    report("as it is", [(case, settings) for case in heard])
    if options.fit:
        found = [list(signs(case)) for case in heard]
        halves = [
            replace(settings, together=fitted(list(chain(*found[1 - half :: 2])), settings.together)) for half in (0, 1)
        ]
        report("each half with the weights of the other", [(case, halves[at % 2]) for at, case in enumerate(heard)])
        print(f"fitted on all: {fitted(list(chain(*found)), settings.together)}")


if __name__ == "__main__":
    main()
