"""Counts how often a sentence that was heard is no longer taken for itself beside a rival, by how far that one is away.

The limits of `assistant/core/hearing/near/phrase_rules.py` are read off this table. Rivals of a sentence are all others
that were said, whether they may be said at the same time or not, and any amount. A sound that its own sentence alone
does not explain was not heard, and is left out.

    python -m tests.benchmarks.confusions heard.jsonl ...    # files of hear_phrases.py and hear_commands.py
"""

from __future__ import annotations

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, match_settings
from assistant.core.hearing.near.likeness import FAR, Likeness
from assistant.core.hearing.verdict.matching import Matcher, Phrasebook
from assistant.core.types import Hypothesis, Phrase, Verdict

Heard = dict[str, list[tuple[Hypothesis, ...]]]
AMOUNT = "<quantity>"
WIDTH = 0.5
"""Distances are counted together in steps of that."""


def heard_in(files: list[Path]) -> Heard:
    """Return for each sentence what was written down each time it was said."""
    found: Heard = defaultdict(list)
    for one in (json.loads(line) for file in files for line in file.read_text(encoding="utf-8").splitlines()):
        if one["text"]:
            found[one["text"]].append(tuple(Hypothesis(text, score, "whisper") for text, score in one["hypotheses"]))
    return found


class Judge:
    """Judges what was written down between two sentences and no others."""

    def __init__(self, library: Library) -> None:
        self._book = Phrasebook(library.rules(), pronounce, match_settings())

    @cache  # noqa: B019 — there is one judge, for as long as the program runs
    def _matcher(self, *says: str) -> Matcher:
        return self._book.matcher([Phrase(text, text) for text in says])

    def taken(self, hypotheses: tuple[Hypothesis, ...], *says: str) -> str:
        """Return the sentence that it is taken for; empty where it is asked again or left alone."""
        match = self._matcher(*says).match(hypotheses)
        return match.best.phrase.says if match.best and match.verdict is Verdict.ACCEPTED else ""


def judged(heard: Heard, judge: Judge, likeness: Likeness) -> Iterator[tuple[bool, float, str]]:
    """Yield for each sound and rival whether that is any amount, how far away, and whether it came out right."""
    for said, sounds in heard.items():
        known = [hypotheses for hypotheses in sounds if judge.taken(hypotheses, said) == said]
        for rival in (*heard, AMOUNT):
            far = likeness.distance(said, rival)
            if 0 < far < FAR:
                for hypotheses in known:
                    taken = judge.taken(hypotheses, said, rival)
                    yield rival == AMOUNT, far, {said: "right", rival: "wrong", "": "asked"}[taken]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+")
    heard = heard_in(parser.parse_args().heard)
    library = Library()
    counts: defaultdict[tuple[bool, float], Counter[str]] = defaultdict(Counter)
    likeness = Likeness([*heard, AMOUNT], library.rules(), pronounce)
    for amount, far, outcome in judged(heard, Judge(library), likeness):
        counts[amount, far // WIDTH * WIDTH][outcome] += 1
    for (amount, far), came in sorted(counts.items()):
        lost = came["asked"] + came["wrong"]
        print(
            f"{'any amount' if amount else 'words':10} {far:.1f} to {far + WIDTH:.1f}: {dict(came)}, "
            f"{lost / came.total():.4f} lost"
        )


if __name__ == "__main__":
    main()
