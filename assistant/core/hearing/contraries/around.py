"""What people type around an answer, or leave out of it, without a change of its meaning. Knows no phrases.

Spoken answers are not read so: what is short, or has a number amid other words, is too often something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

VERBS = frozenset({"is", "are", "has", "was", "went", "stays", "stayed", "stands", "runs"})
"""Words that what a phrase speaks of ends at."""


@dataclass(frozen=True, kw_only=True)
class Around:
    """The words, read from `procedures/phrases/contraries.yaml`, where they are explained."""

    leads: Sequence[str]
    rough: Sequence[str]
    tails: Sequence[str]
    openings: Sequence[str]
    before: Sequence[str]
    noes: Sequence[str]
    units: Sequence[str]
    lines: Mapping[str, str]
    words: Mapping[str, str]
    pronouns: Sequence[str]

    def otherwise(self, words: Sequence[str]) -> Iterator[list[str]]:
        """Yield the line that words stand for, and words with others that stand for them."""
        if line := self.lines.get(" ".join(words)):
            yield line.split()
        if any(word in self.words for word in words):
            yield [part for word in words for part in self.words.get(word, word).split()]

    def named(self, words: Sequence[str], phrase: Sequence[str]) -> list[str]:
        """Return words with the name of the thing that a phrase speaks of for a pronoun: "the cap is off" for "it is
        off"; nothing where they have none."""
        verb = next((place for place, word in enumerate(phrase) if word in VERBS), 0)
        return [*phrase[:verb], *words[1:]] if verb and len(words) > 1 and words[0] in self.pronouns else []

    def bare(self, words: Sequence[str], *, rough: bool) -> Iterator[list[str]]:
        """Yield words of a value without what leads to it or follows it, and with "one" for "a" before a unit.

        With `rough`, also without "about".
        """
        leads = (*self.leads, *(self.rough if rough else ()))
        found = _without(_without(list(words), leads, at_end=False), self.tails, at_end=True)
        if len(found) > 1 and found[0] in ("a", "an") and found[1] in self.units:
            found = ["one", *found[1:]]
        if found and found != list(words):
            yield found

    def opened(self, words: Sequence[str]) -> Iterator[list[str]]:
        """Yield an answer without what leads to it, each also with the little words that may be left out before it:
        "on concrete" for "it is concrete"."""
        bare = _without(list(words), self.before, at_end=False)
        for row in (list(words), bare) if bare and bare != list(words) else (list(words),):
            yield from ([*opening.split(), *row] for opening in ("", *self.openings))

    def after_no(self, words: Sequence[str]) -> list[str]:
        """Return what follows a "no" at the beginning; nothing where none is there."""
        return list(words[1:]) if words and words[0] in self.noes else []


def _without(words: list[str], rows: Sequence[str], *, at_end: bool) -> list[str]:
    """Return words without any of the rows at one end, the longest first, again and again."""
    parts = sorted((row.split() for row in rows), key=len, reverse=True)
    while True:
        row = next((part for part in parts if (words[-len(part) :] if at_end else words[: len(part)]) == part), None)
        if row is None:
            return words
        words = words[: -len(row)] if at_end else words[len(row) :]
