"""Prints which phrases come nearest to each other by sound, for everything that may be allowed at once.

python -m tests.benchmarks.phrase_distances             # the nearest pairs of each situation
python -m tests.benchmarks.phrase_distances --below 3.5  # the pairs of all that are nearer, each once
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library
from assistant.core.hearing.near.likeness import FAR, Likeness
from assistant.core.hearing.near.phrase_rules import Pair, limit, meaning, pairs
from assistant.core.hearing.phrases import situations, situations_beside
from assistant.core.types import Phrase


def all_situations(library: Library) -> dict[str, tuple[Phrase, ...]]:
    """Return what may be allowed at once in any job, under its job, step and question, and beside it."""
    general, catalogue = library.phrases(), library.beside()
    beside = situations_beside(catalogue, (*general, *catalogue.phrases()))
    return {
        f"{job.id}: {name}": phrases for job in library.jobs() for name, phrases in situations(job, general).items()
    } | {f"beside: {name}": phrases for name, phrases in beside.items()}


def nearest(phrases: Sequence[Phrase], likeness: Likeness, below: float) -> list[Pair]:
    """Return the pairs that are nearer than that, the nearest first, each pair of wordings once."""
    found = {frozenset(pair.near.words): pair for pair in pairs(phrases, likeness, lambda one, other: below)}
    return sorted(found.values(), key=lambda pair: pair.near.distance)


def show(pair: Pair) -> None:
    """Print a pair as a line of a table; a mark stands at those that are too near."""
    one, other = pair.near.words
    mark = "!" if pair.near.distance < limit(pair.one, pair.other) else " "
    print(
        f"{mark}{pair.near.distance:5.2f} {pair.near.per_sound:5.2f}  {meaning(pair.one):18} "
        f"{meaning(pair.other):18} {one!r} / {other!r}"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--below", type=float, help="print all pairs that are nearer than that")
    options = parser.parse_args()
    library = Library()
    found = all_situations(library)
    every = [phrase.says for phrases in found.values() for phrase in phrases]
    likeness = Likeness(every, library.rules(), pronounce)
    print(" total  each  meanings                              wordings")
    if options.below:
        known = {
            pair.near.words: pair for phrases in found.values() for pair in nearest(phrases, likeness, options.below)
        }
        for pair in sorted(known.values(), key=lambda pair: pair.near.distance):
            show(pair)
        return
    for name, phrases in found.items():
        print(f"{name}: {len(phrases)} phrases")
        for pair in nearest(phrases, likeness, FAR)[:3]:
            show(pair)


if __name__ == "__main__":
    main()
