"""Which phrase a typed line is, word for word or as people shorten it: a value with words around it, an answer without
its first little words, "it" for the thing at hand. Nothing here is taken by its sound, and nothing that was spoken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.core.grammar.in_full import in_full
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import Step, WordGraphs
from assistant.core.hearing.contraries.made import DENIED
from assistant.core.hearing.contraries.turning_words import TurningWords, whole_words
from assistant.core.hearing.verdict.denying import undenied
from assistant.core.hearing.verdict.found import Found
from assistant.core.types import Phrase

VALUE = "value"
ANSWERS = ("option", "condition")
"""Intents that may be told in a word: "concrete" for "on concrete"."""
NAMED = ("done", "claim", "condition")
"""Intents that speak of the thing at hand, which may be called "it"."""
MEASURED = ("volume", "level", "distance")
"""Rules of the grammar whose values may be told with "about"; what is counted, stamped or set is exact."""


@dataclass(frozen=True, slots=True)
class InShort:
    """Finds phrases in what was typed; without the words that turn a meaning, only word for word."""

    graphs: WordGraphs
    words: TurningWords | None

    def all_of(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return each phrase that words are, in full or else in short; more than one where they mean several."""
        if not words:
            return []
        ways = self._otherwise(words, phrases), *(self._exact(said, phrases) for said in self._as_said(words))
        return next((found for found in ways if found), []) or self._in_short(words, phrases)

    def in_doubt(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return what words affirm but for what turns it around them, or the two answers of which they name both:
        "I think two", "not dry", "two or three"."""
        if not self.words:
            return []
        whole, affirming = whole_words(words), [one for one in phrases if one.affirms]
        if "or" in whole:
            place = whole.index("or")
            both = [self.all_of(part, affirming)[:1] for part in (whole[:place], whole[place + 1 :])]
            return [found for each in both for found in each] if all(both) else []
        for first, last in _around(whole, self.words):
            if self.words.turns([*whole[:first], *whole[last:]]) and (
                found := self.all_of(whole[first:last], affirming)
            ):
                return found[:1]
        return []

    def _as_said(self, words: Sequence[str]) -> Iterator[Sequence[str]]:
        """Yield words with what is shortened written out, and as they are, both also without fillers around them.

        "It didn't roll" is an answer before it is the denial of another.
        """
        yield from (whole_words(words), words)
        if self.words:
            bare = self.words.without_fillers(words)
            yield from (whole_words(bare), bare) if bare else ()

    def _exact(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return each phrase that words are; what affirms goes before what denies in the same words."""
        return undenied(
            [Found(phrase, steps, 0.0, -phrase.rare) for phrase, steps in named(self.graphs, words, phrases)]
        )

    def _otherwise(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return what the line is that words stand for."""
        if not self.words:
            return []
        ways = whole_words(words), whole_words(self.words.without_fillers(words))
        return [one for way in ways for said in self.words.around.otherwise(way) for one in self._exact(said, phrases)]

    def _in_short(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        if not self.words:
            return []
        around, whole = self.words.around, whole_words(self.words.without_fillers(words))
        if not whole:
            return []
        return (
            self._value_in(whole, phrases)
            or self._opened(whole, phrases)
            or self._of_it(whole, phrases)
            or self._exact(around.after_no(words) or around.after_no(whole), _only(phrases, DENIED))
        )

    def _value_in(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return the value that words tell, with what leads to it: "the manual says ..."."""
        assert self.words
        values = _only(phrases, VALUE)
        for rough in (False, True):
            for said in self.words.around.bare(words, rough=rough):
                found = self._exact(said, values)
                if found and (not rough or any(name in MEASURED for one in found for name, _ in one.slots)):
                    return found
        return []

    def _opened(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return the answers that words are without their first little words."""
        assert self.words
        answers = _only(phrases, *ANSWERS)
        return [one for said in self.words.around.opened(words) for one in self._exact(said, answers)]

    def _of_it(self, words: Sequence[str], phrases: Sequence[Phrase]) -> list[Found]:
        """Return what words say of the thing that is asked about, where they call it "it"."""
        assert self.words
        found: list[Found] = []
        for thing in (one for one in _only(phrases, *NAMED) if "<" not in one.says):
            said = self.words.around.named(words, list(in_full(parse_expansion(thing.says))))
            found += self._exact(said, phrases) if said else []
        return undenied(found)


def named(
    graphs: WordGraphs, words: Sequence[str], phrases: Sequence[Phrase]
) -> Iterator[tuple[Phrase, tuple[Step, ...]]]:
    """Yield each phrase that words are, with the steps that they take."""
    for phrase in phrases:
        if (steps := parse(graphs[phrase.says], words)) is not None:
            yield phrase, steps


def _only(phrases: Sequence[Phrase], *intents: str) -> list[Phrase]:
    return [phrase for phrase in phrases if phrase.intent in intents]


def _around(words: Sequence[str], known: TurningWords) -> Iterator[tuple[int, int]]:
    """Yield where an answer may begin and end with only light words around it, the longest first."""
    start = next((place for place, word in enumerate(words) if not known.is_light(word)), len(words))
    end = next((len(words) - place for place, word in enumerate(words[::-1]) if not known.is_light(word)), 0)
    yield from ((first, last) for first in range(start + 1) for last in range(len(words), max(end, first) - 1, -1))
