"""Judges the matcher on what the recogniser wrote down, for many thresholds; `hear_commands.py` makes the file.

python -m tests.benchmarks.fit_matching heard.jsonl [--sweep] [--show]
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

import yaml

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.errors import ReadingError
from assistant.core.hearing.matching import Match, Matcher, MatchSettings, Phrasebook
from assistant.core.hearing.numbers import value_of
from assistant.core.types import Hypothesis, Phrase, Verdict
from assistant.core.units import Level, amount

COMMANDS = yaml.safe_load(Path(__file__).with_name("commands.yaml").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class Case:
    """A sound: in which noise, what it should mean (None: it was not meant), and what was written down."""

    noise: str
    said: str
    wanted: Mapping[str, Any] | None
    hypotheses: tuple[Hypothesis, ...]


def cases(file: Path) -> Iterator[Case]:
    """Yield the sounds of a file that `hear_commands.py` made."""
    meant = {entry["text"]: entry for entry in COMMANDS["said"]}
    for line in file.read_text(encoding="utf-8").splitlines():
        known = json.loads(line)
        written = tuple(Hypothesis(text, score, "whisper") for text, score in known["hypotheses"])
        said = f"{known['text'] or ''} ({known['voice']})"
        yield Case(known["noise"], said, meant.get(known["text"]), written)


def matcher(settings: MatchSettings) -> Matcher:
    """Return a matcher for the general phrases and those made up for the benchmark: more than any step allows."""
    library = Library()
    general = [phrase for phrase in library.phrases() if phrase.intent != "go-on"]
    own = [Phrase(intent, text) for intent, texts in COMMANDS["phrases"].items() for text in texts]
    return Phrasebook(library.rules(), pronounce, settings).matcher([*general, *own])


def outcome(match: Match, wanted: Mapping[str, Any] | None) -> str:
    """Return `right`, `wrong`, `asked` or `silent`; what was accepted though nothing was meant is `wrong`."""
    if match.verdict is Verdict.NOT_FOR_ME:
        return "silent"
    if match.verdict is Verdict.UNCLEAR:
        return "asked"
    return "right" if wanted and _means(match, wanted) else "wrong"


def _means(match: Match, wanted: Mapping[str, Any]) -> bool:
    assert match.best is not None
    if match.best.phrase.intent != wanted["intent"]:
        return False
    if "value" not in wanted:
        return True
    try:
        value = value_of(match.best.slot, match.best.slot_words, "us")
    except ReadingError:
        return False
    if isinstance(value, Level):
        return [value.lowest, value.highest] == [Decimal(str(end)) for end in wanted["value"]]
    return isinstance(wanted["value"], str) and value == amount(wanted["value"])


def tally(heard: list[Case], settings: MatchSettings, show: bool = False) -> dict[str, Counter[str]]:
    """Return how often each outcome came, by noise, and for what was not meant."""
    judge = matcher(settings)
    counts: dict[str, Counter[str]] = {}
    for case in heard:
        match = judge.match(case.hypotheses)
        came = outcome(match, case.wanted)
        counts.setdefault(case.noise if case.wanted else "not meant", Counter())[came] += 1
        if show and came != ("right" if case.wanted else "silent"):
            best = f"{match.best.words!r} {match.best.score:.2f}" if match.best else "nothing"
            written = " | ".join(dict.fromkeys(hypothesis.text for hypothesis in case.hypotheses))
            print(f"{came:6} {case.noise:6} {case.said!r}: {best}, margin {match.margin:.2f}; {written}")
    return counts


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path)
    parser.add_argument("--sweep", action="store_true", help="try many thresholds instead of those in models/")
    parser.add_argument("--show", action="store_true", help="print what was not right")
    options = parser.parse_args()
    heard = list(cases(options.heard))
    settings = match_settings()
    choices = product((0.3, 0.4, 0.5, 0.6), (0.01, 0.02, 0.04), (0.05, 0.1)) if options.sweep else ()
    tried = [replace(settings, accept=-a, ask=-a - 0.2, short_penalty=p, doubt=d) for a, p, d in choices]
    for setting in tried or [settings]:
        print(setting)
        for name, counts in tally(heard, setting, options.show).items():
            total = counts.total()
            shares = "  ".join(f"{came} {counts[came]} ({counts[came] / total:.3f})" for came in sorted(counts))
            print(f"  {name:9} of {total}: {shares}")


if __name__ == "__main__":
    main()
