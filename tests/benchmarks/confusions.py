"""Counts how often a phrase that was heard is no longer taken for itself beside a rival, by how far that one is away.

The limits of `assistant/core/hearing/phrase_rules.py` are read off this table. Each sound is judged once for every
rival with another meaning, between its own phrase and that rival alone; sounds that its own phrase alone does not
explain were not heard at all, and are left out.

    python -m tests.benchmarks.confusions heard.jsonl ...    # files of hear_phrases.py and hear_commands.py
"""

from __future__ import annotations

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import yaml

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.hearing.likeness import Likeness
from assistant.core.hearing.matching import Matcher, Phrasebook
from assistant.core.hearing.phrase_rules import has_slot, meaning
from assistant.core.types import Hypothesis, Phrase, Verdict
from tests.benchmarks.hear_phrases import spoken

Said = dict[str, tuple[str, tuple[Phrase, ...]]]


def said_in(library: Library) -> Said:
    """Return for each sentence what it means, and the phrases beside which it was meant."""
    found: Said = {words: (meaning(phrase), allowed) for words, (phrase, allowed) in spoken(library).items()}
    commands = yaml.safe_load(Path(__file__).with_name("commands.yaml").read_text(encoding="utf-8"))
    own = [Phrase(intent, text) for intent, texts in commands["phrases"].items() for text in texts]
    allowed = (*(phrase for phrase in library.phrases() if phrase.intent != "go-on"), *own)
    for entry in (*commands["said"], *commands["unseen"]):
        found.setdefault(entry["text"], (entry["intent"], allowed))
    return found


def sounds(files: list[Path], said: Said) -> Iterator[tuple[str, tuple[Hypothesis, ...]]]:
    """Yield each sentence that was heard, with what was written down."""
    for line in (line for file in files for line in file.read_text(encoding="utf-8").splitlines()):
        one = json.loads(line)
        if one["text"] in said:
            yield one["text"], tuple(Hypothesis(text, score, "whisper") for text, score in one["hypotheses"])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    options = parser.parse_args()
    library = Library()
    said = said_in(library)
    likeness = Likeness(
        [*said, *(phrase.says for _, allowed in said.values() for phrase in allowed)], library.rules(), pronounce
    )
    book = Phrasebook(library.rules(), pronounce, match_settings())

    @cache
    def matcher(*phrases: Phrase) -> Matcher:
        return book.matcher(phrases)

    counts: defaultdict[tuple[bool, float], Counter[str]] = defaultdict(Counter)
    for text, hypotheses in sounds(options.heard, said):
        means, allowed = said[text]
        own = min((p for p in allowed if meaning(p) == means), key=lambda p: likeness.distance(text, p.says))
        if likeness.distance(text, own.says) or matcher(own).match(hypotheses).verdict is not Verdict.ACCEPTED:
            continue
        for rival in allowed:
            far = likeness.distance(text, rival.says)
            if meaning(rival) != means and far < 6:
                match = matcher(own, rival).match(hypotheses)
                taken = match.best is not None and match.best.phrase is own
                verdict = "right" if taken and match.verdict is Verdict.ACCEPTED else "asked"
                wrong = not taken and match.verdict is Verdict.ACCEPTED
                numbers = has_slot(own.says) or has_slot(rival.says)
                counts[numbers, int(far * 2) / 2]["wrong" if wrong else verdict] += 1
    for (numbers, far), came in sorted(counts.items()):
        kind = "with a number" if numbers else "words alone"
        print(f"{kind:14} {far:.1f} to {far + 0.5:.1f}: " + ", ".join(f"{n} {name}" for name, n in came.items()))


if __name__ == "__main__":
    main()
