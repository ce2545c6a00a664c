"""Which phrase allowed now sounds most like what was written down, and whether it sounds like it enough.

The score is 0 where the sounds agree, and less with every sound that does not; it is per sound, so long
phrases are not judged harder than short ones. Nothing is accepted because nothing else was allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.core.hearing.grammar import Rules, parse_expansion
from assistant.core.hearing.numbers import meaning_of
from assistant.core.hearing.search import Path, Search
from assistant.core.hearing.slots import slots_of
from assistant.core.hearing.sound_graph import SoundGraph, join, sound_graph
from assistant.core.hearing.sounds import BOUNDARY, Lexicon, sounds_of
from assistant.core.hearing.word_graph import Step, word_graph
from assistant.core.hearing.writings import Writing, writings_of
from assistant.core.types import Hypothesis, Phrase, Verdict

CANDIDATES = 3
"""So many phrases are looked at for each text: the runner-up has to have another meaning."""


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
    slot_weight: float
    """How many times more unlike sounds cost in a slot: what may be any number comes near to anything."""
    slot_limit: float
    """Up to what cost a word of the slot that is so [distance of sounds]."""
    doubt: float
    """Weight of an engine's own log-probability in the score."""
    rival_weight: float
    """Weight of how much likelier the engine holds another text than the one that fits [distance of sounds a nat]."""
    steepness: float
    """How fast a meaning becomes unlikely as its sounds go away from those written [nat a distance of sounds]."""
    margin: float
    """By how much the best meaning has to be likelier than the next one [nat]."""


Meaning = tuple[str, str | None, tuple[tuple[str, object], ...]]
"""An intent, an option, and what fills each slot."""


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase as it was probably said."""

    phrase: Phrase
    steps: tuple[Step, ...]
    """The words, each with the rules that it was said in."""
    score: float
    """How well it explains the sounds, for each of them; 0 is perfect."""
    evidence: float
    """How likely it is beside other findings for the same sound [nat]."""

    @property
    def words(self) -> str:
        """The words as they were probably said."""
        return " ".join(step.word for step in self.steps)

    @property
    def slots(self) -> tuple[tuple[str, str], ...]:
        """The rules that the phrase refers to, each with what was said there, in order."""
        return slots_of(self.steps)

    @property
    def meaning(self) -> Meaning:
        """What two findings share that mean the same, however it is worded or spelt."""
        return (
            self.phrase.intent,
            self.phrase.option,
            tuple((name, meaning_of(name, said)) for name, said in self.slots),
        )


@dataclass(frozen=True, slots=True)
class Match:
    """The verdict of the matcher."""

    verdict: Verdict
    best: Found | None = None
    runner_up: Found | None = None
    """The next meaning; None with an unclear verdict where even the best was too far from what was heard."""
    margin: float = float("inf")
    """By how much the best meaning is likelier than the next [nat]."""
    heard: tuple[Hypothesis, ...] = ()


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
        writings = writings_of(hypotheses)
        if not writings:
            return Match(Verdict.NOT_FOR_ME, heard=tuple(hypotheses))
        sounds = [sounds_of(writing.text, self._lexicon) for writing in writings]
        found: dict[Meaning, Found] = {}
        for costs, heard, writing in zip(self._search.costs(sounds), sounds, writings, strict=True):
            for item in self._candidates(costs, heard, writing):
                if item.meaning not in found or item.evidence > found[item.meaning].evidence:
                    found[item.meaning] = item
        ranked = sorted(found.values(), key=lambda item: -item.evidence)
        match = self._verdict(ranked[0], ranked[1] if len(ranked) > 1 else None)
        return replace(match, heard=tuple(hypotheses))

    def _candidates(self, costs: NDArray[np.float32], heard: Sequence[str], writing: Writing) -> list[Found]:
        """Return the few best phrases for one writing."""
        ends = self._search.ends(costs)
        return [
            self._found(self._search.trace(costs, heard, int(phrase)), heard, writing)
            for phrase in ends.argsort()[:CANDIDATES]
        ]

    def _found(self, path: Path, heard: Sequence[str], writing: Writing) -> Found:
        own = self._settings
        slot_words = sum(step.slot is not None for step in path.words)
        cost = path.cost + own.slot_weight * min(path.cost, own.slot_limit * slot_words)
        expected = _count(sounds_of(" ".join(step.word for step in path.words), self._lexicon))
        lacking = cost - own.rival_weight * writing.likelihood
        score = own.doubt * writing.doubt - lacking / max(_count(heard), expected, 1)
        if lacking > 0:
            score -= own.short_penalty * max(0, own.short_sounds - expected)
        evidence = writing.likelihood - own.steepness * cost
        return Found(self._phrases[path.phrase], path.words, score, evidence)

    def _verdict(self, best: Found, runner_up: Found | None) -> Match:
        margin = best.evidence - runner_up.evidence if runner_up else float("inf")
        if best.score < self._settings.ask:
            return Match(Verdict.NOT_FOR_ME, best, runner_up, margin)
        if best.score < self._settings.accept:
            return Match(Verdict.UNCLEAR, best, None, margin)
        clear = margin >= self._settings.margin
        return Match(Verdict.ACCEPTED if clear else Verdict.UNCLEAR, best, runner_up, margin)


def _count(sounds: Sequence[str]) -> int:
    return sum(sound != BOUNDARY for sound in sounds)
