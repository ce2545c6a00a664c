"""Which phrase is meant by a line that a person typed. Unlike what engines write, each of its words was meant."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from assistant.core.hearing.contraries import DENIED
from assistant.core.hearing.denying import contrary_found, undenied
from assistant.core.hearing.found import Found, Match
from assistant.core.hearing.left_over import LeftOver, Turn
from assistant.core.hearing.numbers import written_as_words
from assistant.core.hearing.parsing import parse
from assistant.core.hearing.turning_words import whole_words
from assistant.core.hearing.word_graph import Step, WordGraphs
from assistant.core.types import Hypothesis, Phrase, Verdict


class Nearest(Protocol):
    """Tells which phrase a text sounds like."""

    def match(self, hypotheses: Sequence[Hypothesis]) -> Match:
        """Return the nearest phrase, and whether it is near enough."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Reads typed lines: word for word, or else by their sound."""

    graphs: WordGraphs
    left_over: LeftOver | None
    matcher: Callable[[Sequence[Phrase]], Nearest]

    def read(self, text: Hypothesis, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase is meant.

        What affirms or denies is only taken where nothing with a meaning of its own is left over, and nothing lacks.
        """
        words = written_as_words(text.text).split()
        exact = next((found for said in self._as_said(words) if (found := self._exact(said, phrases))), [])
        if not exact or len({found.meaning for found in exact if found.phrase.intent != DENIED}) > 1:
            return self._nearest(text, words, phrases)
        return Match(Verdict.ACCEPTED, max(exact, key=lambda found: found.evidence), heard=(text,))

    def _as_said(self, words: Sequence[str]) -> Iterator[Sequence[str]]:
        """Yield words as they are, with what is shortened written out, and both without fillers around them."""
        yield from (words, whole_words(words))
        if self.left_over:
            bare = self.left_over.words.without_fillers(words)
            yield from (bare, whole_words(bare)) if bare else ()

    def _exact(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return each phrase that words are; what affirms goes before what denies in the same words."""
        return undenied(
            [Found(phrase, steps, 0.0, -phrase.rare) for phrase, steps in named(self.graphs, words, phrases)]
        )

    def _nearest(self, text: Hypothesis, words: Sequence[str], phrases: Sequence[Phrase]) -> Match:
        """Return what a text sounds like: a phrase if it is all of it, or else a denial if it is all of that."""
        match = self.matcher([phrase for phrase in phrases if phrase.intent != DENIED]).match((text,))
        if not self.left_over or match.best is None or not match.best.phrase.affirms:
            return match
        match = _weighed_up(self.left_over, words, match, match.best)
        if match.verdict is Verdict.ACCEPTED:
            return match
        other = self.matcher(phrases).match((text,))
        denies = other.verdict is not Verdict.NOT_FOR_ME and other.best and other.best.phrase.intent == DENIED
        if denies and other.best and self.left_over.turn(words, other.best.words.split()) is Turn.NONE:
            return replace(other, verdict=Verdict.ACCEPTED)
        return match


def _weighed_up(left_over: LeftOver, words: Sequence[str], match: Match, best: Found) -> Match:
    """Return the verdict on a phrase that affirms with what words have beside it."""
    turn = left_over.turn(words, best.words.split())
    if turn is Turn.NONE or match.verdict is Verdict.NOT_FOR_ME:
        return match
    if turn is Turn.DENIED:
        return replace(match, verdict=Verdict.ACCEPTED, best=contrary_found(best, words), runner_up=best)
    return replace(match, verdict=Verdict.UNCLEAR, runner_up=None)


def named(
    graphs: WordGraphs, words: Sequence[str], phrases: Sequence[Phrase]
) -> Iterator[tuple[Phrase, tuple[Step, ...]]]:
    """Yield each phrase that words are, with the steps that they take."""
    for phrase in phrases:
        if (steps := parse(graphs[phrase.says], words)) is not None:
            yield phrase, steps
