"""Which phrase is meant by a line that a person typed. Unlike what engines write, each of its words was meant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from assistant.core.amounts.typed import doubt_in
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.contraries.left_over import LeftOver, Turn
from assistant.core.hearing.contraries.made import DENIED
from assistant.core.hearing.verdict.denying import contrary_found
from assistant.core.hearing.verdict.found import Found, Match
from assistant.core.hearing.verdict.in_short import InShort
from assistant.core.quantities.figures import written_as_words
from assistant.core.quantities.number_words import NUMBER_WORDS
from assistant.core.types import Hypothesis, Phrase, Verdict

CALLS = ("alarm", "danger")
"""Intents that a person is alarmed by, and that must not be taken for an answer that only sounds like them."""


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
        match = self._read(text, phrases)
        if match.verdict is Verdict.ACCEPTED and match.best and match.best.slots and doubt_in(text.text):
            return replace(match, verdict=Verdict.UNCLEAR, runner_up=None)
        asks = text.text.rstrip().endswith("?") and match.verdict is Verdict.ACCEPTED
        if asks and match.best and match.best.phrase.affirms:  # a question says nothing, whatever its words
            return replace(match, verdict=Verdict.UNCLEAR, runner_up=None)
        return match

    def _read(self, text: Hypothesis, phrases: Sequence[Phrase]) -> Match:
        words = written_as_words(text.text).split()
        short = InShort(self.graphs, self.left_over.words if self.left_over else None)
        exact = short.all_of(words, phrases)
        if exact and len({found.meaning for found in exact if found.phrase.intent != DENIED}) <= 1:
            return Match(Verdict.ACCEPTED, max(exact, key=lambda found: found.evidence), heard=(text,))
        match = self._nearest(text, words, phrases)
        denies = match.verdict is not Verdict.NOT_FOR_ME and match.best and match.best.phrase.intent == DENIED
        if denies or not (doubted := short.in_doubt(words, phrases)):
            return match
        return Match(Verdict.UNCLEAR, doubted[0], doubted[1] if len(doubted) > 1 else None, heard=(text,))

    def _nearest(self, text: Hypothesis, words: Sequence[str], phrases: Sequence[Phrase]) -> Match:
        """Return what a text sounds like: a phrase if it is all of it, or else a denial if it is all of that."""
        match = self.matcher([phrase for phrase in phrases if phrase.intent != DENIED]).match((text,))
        if not self.left_over or match.best is None:
            return match
        if match.best.phrase.intent in CALLS and self.left_over.lacks_most(words, match.best.words.split()):
            return replace(match, verdict=Verdict.NOT_FOR_ME)  # "I can't read it" is no "I can't get out"
        if not match.best.phrase.affirms:
            numbers = NUMBER_WORDS.intersection(words) - {*match.best.words.split()}
            return replace(match, verdict=Verdict.NOT_FOR_ME) if numbers else match  # who says a number asks nothing
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
