"""Judges what the engines held likely, for many thresholds; `hear_commands.py` makes the files.

python -m tests.benchmarks.fit_likely heard.jsonl ... [--sweep] [--show]
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

from assistant.adapters.library import Library, match_settings
from assistant.core.hearing.found import Match
from assistant.core.hearing.grammar import parse_expansion
from assistant.core.hearing.judging import JudgeSettings, judge
from assistant.core.hearing.word_graph import word_graph
from assistant.core.types import Heard, Hypothesis, Verdict, Weighed
from tests.benchmarks.fit_matching import means
from tests.benchmarks.hear_commands import COMMANDS, phrases

Case = dict[str, Any]
OUTCOMES = ("right", "asked", "silent", "wrong")


class Judge:
    """Judges cases as the ears do: the second engine is asked only where the first is in doubt."""

    def __init__(self) -> None:
        library = Library()
        self._phrases = phrases(library)
        self._graphs = [word_graph(parse_expansion(phrase.says), library.rules()) for phrase in self._phrases]
        self._wanted = {entry["text"]: entry for entry in (*COMMANDS["said"], *COMMANDS["unseen"])}
        self._known: dict[tuple[int, bool, float], Match] = {}

    def match(self, case: Case, settings: JudgeSettings, *, both: bool) -> Match:
        key = (id(case), both, settings.second if both else 0.0)
        if key not in self._known:
            engines = ("first", "second") if both else ("first",)
            written = tuple(Hypothesis(text, score, "first") for text, score in case["hypotheses"])
            heard = [Heard(written, tuple(Weighed(*item) for item in case[engine])) for engine in engines]
            self._known[key] = judge(heard, self._phrases, self._graphs, settings)
        return self._known[key]

    def outcome(self, case: Case, settings: JudgeSettings) -> str:
        """Return what came of a case; what was taken though nothing was meant is `wrong`."""
        match = self.match(case, settings, both=False)
        verdict = decided(match, settings)
        if verdict is Verdict.UNCLEAR:
            match = self.match(case, settings, both=True)
            verdict = decided(match, settings)
        if verdict is not Verdict.ACCEPTED:
            return "asked" if verdict is Verdict.UNCLEAR else "silent"
        wanted = self._wanted.get(case["text"])
        return "right" if wanted and means(match, wanted) else "wrong"


def decided(match: Match, settings: JudgeSettings) -> Verdict:
    """Return the verdict on a finding for other thresholds than it was judged with."""
    if match.best is None or match.best.score < settings.ask:
        return Verdict.NOT_FOR_ME
    clear = match.best.score >= settings.accept and match.margin >= settings.margin
    return Verdict.ACCEPTED if clear else Verdict.UNCLEAR


def cases(files: Sequence[Path]) -> Iterator[Case]:
    for file in files:
        for line in file.read_text(encoding="utf-8").splitlines():
            yield json.loads(line)


def report(judged: Judge, heard: Sequence[Case], settings: JudgeSettings, by: str) -> None:
    """Print how often each outcome came, by noise or by another key, and for what was not meant."""
    counts: dict[str, Counter[str]] = {}
    for case in heard:
        name = "not meant" if case["text"] is None else f"{case['noise']} {case[by] if by != 'noise' else ''}".strip()
        counts.setdefault(name, Counter())[judged.outcome(case, settings)] += 1
    print(settings)
    for name in sorted(counts):
        came = counts[name]
        shares = "  ".join(f"{each} {came[each]:4} ({came[each] / came.total():.3f})" for each in OUTCOMES)
        print(f"  {name:24} {came.total():5}  {shares}")


def show(judged: Judge, heard: Sequence[Case], settings: JudgeSettings) -> None:
    """Print each sound that was not taken right, or not left alone."""
    for case in heard:
        came = judged.outcome(case, settings)
        if came != ("silent" if case["text"] is None else "right"):
            match = judged.match(case, settings, both=False)
            both = judged.match(case, settings, both=True)
            first = match.best and f"{match.best.words!r} {match.best.score:.2f} by {match.margin:.1f}"
            second = both.best and f"{both.best.words!r} by {both.margin:.1f}"
            print(f"{came:6} {case['noise']:6} {case['text']!r} ({case['voice']} {case['kind']}): {first}; {second}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    parser.add_argument("--by", default="noise", help="what to count by, beside the noise: voice, kind")
    parser.add_argument("--sweep", action="store_true", help="try many thresholds")
    parser.add_argument("--show", action="store_true", help="print what was not right")
    options = parser.parse_args()
    heard, settings, judged = list(cases(options.heard)), match_settings().likely, Judge()
    for accept, ask, margin, second in (
        product((-0.5, -0.4, -0.3), (0.1, 0.2), (1.0, 1.5, 2.5), (0.0, 0.5, 1.0)) if options.sweep else ()
    ):
        report(
            judged, heard, replace(settings, accept=accept, ask=accept - ask, margin=margin, second=second), options.by
        )
    if not options.sweep:
        report(judged, heard, settings, options.by)
    if options.show:
        show(judged, heard, settings)


if __name__ == "__main__":
    main()
