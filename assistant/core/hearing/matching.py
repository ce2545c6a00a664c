"""Which phrase allowed now sounds most like what was written down, and whether it sounds like it enough.

The score is 0 where the sounds agree, and less with every sound that does not; it is per sound, so long
phrases are not judged harder than short ones. Nothing is accepted because nothing else was allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.core.hearing.grammar import Rules, parse_expansion, word_graph
from assistant.core.hearing.numbers import meaning_of, written_as_words
from assistant.core.hearing.search import Path, Search
from assistant.core.hearing.sound_graph import SoundGraph, join, sound_graph
from assistant.core.hearing.sounds import BOUNDARY, Lexicon, sounds_of
from assistant.core.types import Hypothesis, Phrase, Verdict

_BEFORE = frozenset(["um", "uh", "er", "erm", "okay", "ok", "so", "well", "hey", "right", "now", "and", "please", "oh"])
_AFTER = frozenset(["please", "now", "thanks", "um", "uh", "er", "okay", "ok"])


@dataclass(frozen=True, slots=True)
class MatchSettings:
    """Weights and thresholds, fitted on development data and kept in `models/matching.yaml`."""

    accept: float
    """Score from which a long phrase is accepted."""
    ask: float
    """Score from which it is asked again; below, it was not meant for the assistant."""
    short_sounds: int
    """A phrase with fewer sounds is judged more strictly."""
    short_penalty: float
    """Taken off the score for every sound that is lacking to that."""
    slot_penalty: float
    """Cost of every word of a slot, up to the cost of the sounds: what may be any number comes near to anything."""
    margin: float
    """By how much the best meaning has to beat the next one."""
    doubt: float
    """Weight of an engine's own log-probability in the score."""


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase as it was probably said."""

    phrase: Phrase
    words: str
    slot: str | None
    slot_words: str
    score: float

    @property
    def meaning(self) -> tuple[str, str | None, object]:
        """What two findings share that mean the same, however it is worded or spelt."""
        return self.phrase.intent, self.phrase.option, meaning_of(self.slot, self.slot_words)


@dataclass(frozen=True, slots=True)
class Match:
    """The verdict of the matcher."""

    verdict: Verdict
    best: Found | None = None
    runner_up: Found | None = None
    """The next meaning; None with an unclear verdict where even the best was too far from what was heard."""
    margin: float = float("inf")


class Phrasebook:
    """Makes matchers for the phrases of a state; a phrase is laid out in sounds only once."""

    def __init__(self, rules: Rules, lexicon: Lexicon, settings: MatchSettings) -> None:
        self._rules = rules
        self._lexicon = lexicon
        self._settings = settings
        self._graphs: dict[str, SoundGraph] = {}

    def matcher(self, phrases: Sequence[Phrase]) -> Matcher:
        """Return a matcher for these phrases; DataError where one is no expansion of the known rules."""
        graph = join([self._graph(phrase.says) for phrase in phrases])
        return Matcher(phrases, graph, self._lexicon, self._settings)

    def _graph(self, says: str) -> SoundGraph:
        if says not in self._graphs:
            self._graphs[says] = sound_graph(word_graph(parse_expansion(says), self._rules), self._lexicon)
        return self._graphs[says]


class Matcher:
    """The phrases of one state, ready to be compared with what is heard."""

    def __init__(self, phrases: Sequence[Phrase], graph: SoundGraph, lexicon: Lexicon, settings: MatchSettings) -> None:
        self._phrases = tuple(phrases)
        self._lexicon = lexicon
        self._settings = settings
        self._search = Search(graph)

    def match(self, hypotheses: Sequence[Hypothesis]) -> Match:
        """Return which phrase was meant, judged over all that the engines wrote."""
        texts = _texts(hypotheses)
        if not texts:
            return Match(Verdict.NOT_FOR_ME)
        writings = [sounds_of(text, self._lexicon) for text, _ in texts]
        found: dict[tuple[str, str | None, object], Found] = {}
        for costs, writing, (_, doubt) in zip(self._search.costs(writings), writings, texts, strict=True):
            for item in self._candidates(costs, writing, doubt):
                if item.meaning not in found or item.score > found[item.meaning].score:
                    found[item.meaning] = item
        ranked = sorted(found.values(), key=lambda item: -item.score)
        return self._verdict(ranked[0], ranked[1] if len(ranked) > 1 else None)

    def _candidates(self, costs: NDArray[np.float32], writing: Sequence[str], doubt: float) -> list[Found]:
        """Return the few best phrases for one writing."""
        ends = self._search.ends(costs)
        return [
            self._found(self._search.trace(costs, writing, int(phrase)), writing, doubt)
            for phrase in ends.argsort()[:3]
        ]

    def _found(self, path: Path, writing: Sequence[str], doubt: float) -> Found:
        words = tuple(step.word for step in path.words)
        slot = next((step.slot for step in path.words if step.slot), None)
        slot_words = " ".join(step.word for step in path.words if step.slot)
        expected = sum(sound != BOUNDARY for sound in sounds_of(" ".join(words), self._lexicon))
        heard = sum(sound != BOUNDARY for sound in writing)
        freedom = min(path.cost, self._settings.slot_penalty * len(slot_words.split()))
        score = -(path.cost + freedom) / max(heard, expected, 1) + self._settings.doubt * doubt
        if path.cost > 0:
            score -= self._settings.short_penalty * max(0, self._settings.short_sounds - expected)
        return Found(self._phrases[path.phrase], " ".join(words), slot, slot_words, score)

    def _verdict(self, best: Found, runner_up: Found | None) -> Match:
        margin = best.score - runner_up.score if runner_up else float("inf")
        if best.score < self._settings.ask:
            return Match(Verdict.NOT_FOR_ME, best, runner_up, margin)
        if best.score < self._settings.accept:
            return Match(Verdict.UNCLEAR, best, None, margin)
        clear = margin >= self._settings.margin
        return Match(Verdict.ACCEPTED if clear else Verdict.UNCLEAR, best, runner_up, margin)


def _texts(hypotheses: Sequence[Hypothesis]) -> list[tuple[str, float]]:
    """Return the different texts in words, also without filler at the edges, each with its engine's doubt."""
    texts: dict[str, float] = {}
    for hypothesis in hypotheses:
        words = written_as_words(hypothesis.text).split()
        bare = list(words)
        while bare and bare[0] in _BEFORE:
            bare.pop(0)
        while bare and bare[-1] in _AFTER:
            bare.pop()
        for kept in (words, bare):
            if kept:
                text = " ".join(kept)
                texts[text] = max(texts.get(text, float("-inf")), hypothesis.score)
    return list(texts.items())
