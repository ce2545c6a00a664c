"""Judges the matcher on what the recogniser wrote down, for many thresholds; `hear_commands.py` makes the file.

python -m tests.benchmarks.fit_matching heard.jsonl ... [--sweep] [--show]
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import product
from pathlib import Path
from typing import Any

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.errors import ReadingError
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.matching import Matcher, MatchSettings, Phrasebook
from assistant.core.quantities.numbers import value_of
from assistant.core.quantities.units import Level, amount
from assistant.core.types import Hypothesis
from tests.benchmarks.hear_commands import COMMANDS, phrases


@dataclass(frozen=True, slots=True)
class Case:
    """A sound: in which noise, what it should mean (None: it was not meant), and what was written down."""

    noise: str
    said: str
    wanted: Mapping[str, Any] | None
    hypotheses: tuple[Hypothesis, ...]


def cases(file: Path) -> Iterator[Case]:
    """Yield the sounds of a file that `hear_commands.py` made."""
    meant = {entry["text"]: entry for entry in (*COMMANDS["said"], *COMMANDS["unseen"])}
    for line in file.read_text(encoding="utf-8").splitlines():
        known = json.loads(line)
        if known["text"] and known["text"] not in meant:
            continue  # a sentence that has left the list
        written = tuple(Hypothesis(text, score, "whisper") for text, score in known["hypotheses"])
        said = f"{known['text'] or ''} ({known['voice']})"
        yield Case(known["noise"], said, meant.get(known["text"]), written)


def matcher(settings: MatchSettings) -> Matcher:
    """Return a matcher for the general phrases and those made up for the benchmark: more than any step allows."""
    library = Library()
    return Phrasebook(library.rules(), pronounce, settings).matcher(phrases(library))


def means(match: Match, wanted: Mapping[str, Any]) -> bool:
    """Return whether a finding means what was said."""
    assert match.best is not None
    if match.best.phrase.intent != wanted["intent"]:
        return False
    if "value" not in wanted:
        return True
    try:
        value = value_of(*next(iter(match.best.slots), ("", "")), "us")
    except ReadingError:
        return False
    if isinstance(value, Level):
        ends = wanted["value"] if isinstance(wanted["value"], list) else ()
        return [value.lowest, value.highest] == [Decimal(str(end)) for end in ends]
    return isinstance(wanted["value"], str) and value == amount(wanted["value"])


@dataclass(frozen=True, slots=True)
class Judged:
    """A case with the matcher's finding, from which the outcome follows for any thresholds."""

    case: Case
    match: Match
    right: bool

    def outcome(self, settings: MatchSettings) -> str:
        """Return `right`, `wrong`, `asked` or `silent`; what was taken though nothing was meant is `wrong`."""
        best = self.match.best
        if best is None or best.score < settings.ask:
            return "silent"
        if best.score < settings.accept or self.match.margin < settings.margin:
            return "asked"
        return "right" if self.right else "wrong"


def judge(heard: list[Case], settings: MatchSettings) -> list[Judged]:
    """Return what the matcher makes of each sound with some weights."""
    own = matcher(settings)
    found = [(case, own.match(case.hypotheses)) for case in heard]
    return [
        Judged(case, match, bool(case.wanted and match.best and means(match, case.wanted))) for case, match in found
    ]


def report(judged: list[Judged], settings: MatchSettings) -> None:
    """Print how often each outcome came, by noise, and for what was not meant."""
    counts: dict[str, Counter[str]] = {}
    for one in judged:
        name = one.case.noise if one.case.wanted else "not meant"
        counts.setdefault(name, Counter())[one.outcome(settings)] += 1
    print(settings)
    for name, came in counts.items():
        print(
            f"  {name:9} "
            + "  ".join(f"{each} {came[each]} ({came[each] / came.total():.3f})" for each in sorted(came))
        )


def show(judged: list[Judged], settings: MatchSettings) -> None:
    """Print each sound that was not taken right, or not left alone."""
    for one in judged:
        came = one.outcome(settings)
        if came != ("right" if one.case.wanted else "silent"):
            best = f"{one.match.best.words!r} {one.match.best.score:.2f}" if one.match.best else "nothing"
            written = " | ".join(dict.fromkeys(hypothesis.text for hypothesis in one.case.hypotheses))
            print(f"{came:6} {one.case.noise:6} {one.case.said!r}: {best}, margin {one.match.margin:.2f}; {written}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    parser.add_argument("--sweep", action="store_true", help="try many weights and thresholds")
    parser.add_argument("--show", action="store_true", help="print what was not right")
    options = parser.parse_args()
    heard = [case for file in options.heard for case in cases(file)]
    settings = match_settings()
    if not options.sweep:
        judged = judge(heard, settings)
        report(judged, settings)
        if options.show:
            show(judged, settings)
        return
    for weight, limit, doubt in product((1, 2, 3), (0.3, 0.6), (0.0, 0.05, 0.1)):
        weighed = replace(settings, slot_weight=weight, slot_limit=limit, doubt=doubt)
        judged = judge(heard, weighed)
        for accept, margin in product((0.3, 0.33, 0.36), (1.0, 1.5, 2.0)):
            report(judged, replace(weighed, accept=-accept, ask=-accept - 0.05, margin=margin))


if __name__ == "__main__":
    main()
