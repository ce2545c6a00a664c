"""Which phrase allowed now sounds most like what was written down, and whether it sounds like it enough.

The score is 0 where the sounds agree, and less with every sound that does not; it is per sound, so long
phrases are not judged harder than short ones. Nothing is accepted because nothing else was allowed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from assistant.core.grammar.jsgf import Rules
from assistant.core.grammar.parsing import following, parse
from assistant.core.grammar.word_graph import WordGraph, WordGraphs
from assistant.core.hearing.contraries.left_over import LeftOver, Turn, is_slip
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.hearing.contraries.turning_words import TurningWords
from assistant.core.hearing.near.crossing import crossed
from assistant.core.hearing.near.search import Path, Search
from assistant.core.hearing.near.sound_graph import SoundGraph, join, sound_graph
from assistant.core.hearing.near.sounds import BOUNDARY, Lexicon, apart, sounds_of
from assistant.core.hearing.verdict.denying import ranked_by_evidence, undenied
from assistant.core.hearing.verdict.found import Found, Match, Meaning
from assistant.core.hearing.verdict.in_short import named
from assistant.core.hearing.verdict.judging import JudgeSettings, decided, judge, judge_together
from assistant.core.hearing.verdict.reading import Reader
from assistant.core.hearing.verdict.writings import Writing, writings_of
from assistant.core.quantities.figures import twins_of, written_as_words
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict

CANDIDATES = 3
"""So many phrases are looked at for each text: the runner-up has to have another meaning."""
MOST_SETS = 64
"""So many sets of phrases are kept with their contraries."""
MOST_MATCHERS = 8
"""So many matchers are kept: one with numbers takes some megabytes."""


LONG_TALK, LONGER, LONGER_BY = 3.0, 2.5, 20
"""From how much voice on [second], and from how many times and letters more than a phrase somebody talks on
(README.md)."""


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
    likely: JudgeSettings
    """What holds for engines that tell how likely the phrases themselves are."""


def is_talk(utterance: Utterance, first: Heard) -> bool:
    """Return whether somebody talked on, so that nobody needs to be asked: what the first engine wrote is far longer
    than each of its phrases, and took a while. In noise it writes too much, but not for long."""
    if utterance.voiced is None or utterance.voiced < LONG_TALK:
        return False
    written = max((len(text.text) for text in first.written), default=0)
    return written > LONGER * max((len(item.words) for item in first.allowed), default=0) + LONGER_BY


class Phrasebook:
    """Makes matchers for the phrases of a state; a phrase is laid out in words and in sounds only once."""

    def __init__(
        self,
        rules: Rules,
        lexicon: Lexicon,
        settings: MatchSettings,
        turning: TurningWords | None = None,
        listed: Callable[[str], bool] = lambda _: True,
    ) -> None:
        """Take what phrases are made of. Without words that turn a meaning no phrase has contraries; without a
        dictionary no word is taken for another one misspelt."""
        self._lexicon = lexicon
        self._settings = settings
        self._listed = listed
        self._contraries = Contraries(turning) if turning else None
        self._left_over = LeftOver(turning, self._same) if turning else None
        self._with: dict[tuple[Phrase, ...], tuple[Phrase, ...]] = {}
        self._words = WordGraphs(rules)
        self._graphs: dict[str, SoundGraph] = {}
        self._matchers: dict[tuple[Phrase, ...], Matcher] = {}

    def with_contraries(self, phrases: Sequence[Phrase]) -> Sequence[Phrase]:
        """Return phrases with what denies those that affirm: what all engines and matchers are given."""
        if not self._contraries:
            return phrases
        key = tuple(phrases)
        if key not in self._with:
            if len(self._with) >= MOST_SETS:
                self._with.clear()
            self._with[key] = self._contraries.with_contraries(key)
        return self._with[key]

    def judging_by(self, likely: JudgeSettings) -> Self:
        """Return the same phrasebook with other thresholds for what engines hold likely."""
        book = copy(self)  # what is laid out once is laid out for both
        book._settings = replace(self._settings, likely=likely)
        return book

    def around(self, utterance: Utterance) -> Self:
        """Return the same phrasebook with the thresholds that hold in the noise and the talk around an utterance."""
        own = self._settings.likely
        accept = own.accept
        if utterance.snr_db is not None and utterance.snr_db < own.clear_snr:
            accept = max(accept, own.accept_in_noise)
        if utterance.amid_talk:
            accept = max(accept, own.accept_amid_talk)
        return self.judging_by(replace(own, accept=accept))

    def matcher(self, phrases: Sequence[Phrase]) -> Matcher:
        """Return a matcher for these phrases; DataError where one is no expansion of the known rules."""
        key = tuple(phrases)
        if key not in self._matchers:
            if len(self._matchers) >= MOST_MATCHERS:
                self._matchers.clear()
            graph = join([self._graph(phrase.says) for phrase in key])
            self._matchers[key] = Matcher(key, graph, self._lexicon, self._settings)
        return self._matchers[key]

    def judge(self, heard: Sequence[Heard], phrases: Sequence[Phrase]) -> Match:
        """Return which phrase was meant: as one engine holds likely, or else by what they wrote."""
        if heard and heard[0].allowed:
            return judge(heard[0], phrases, self._laid_out(phrases), self._settings.likely)
        return self.matcher(phrases).match([text for one in heard for text in one.written])

    def judge_together(self, heard: Sequence[Heard], by_sound: Mapping[str, float], phrases: Sequence[Phrase]) -> Match:
        """Return which phrase was meant, from what several engines hold likely and from what they wrote."""
        return judge_together(heard, by_sound, phrases, self._laid_out(phrases), self._settings.likely)

    def by_sound(self, heard: Sequence[Heard], phrases: Sequence[Phrase]) -> dict[str, float]:
        """Return the few phrases that sound most like what was written, with their scores."""
        nearest = self.matcher(phrases).nearest([text for one in heard for text in one.written])
        return {found.words: found.score for found in nearest[:CANDIDATES] if found.steps}

    def twins(self, texts: Iterable[str], phrases: Sequence[Phrase]) -> list[str]:
        """Return what texts would be with a number taken for its twin, as far as that is allowed."""
        return self._allowed((twin for text in texts for twin in twins_of(text)), phrases)

    def crossed(self, texts: Sequence[str], others: Sequence[str], phrases: Sequence[Phrase]) -> list[str]:
        """Return what texts would be with a stretch of words from any of the others, as far as that is allowed."""
        new = dict.fromkeys(one for text in texts for other in others for one in crossed(text, other))
        return self._allowed(new, phrases)

    def noisy(self, utterance: Utterance) -> bool:
        """Return whether there was so much noise that nothing consequential is believed."""
        return utterance.snr_db is not None and utterance.snr_db < self._settings.likely.least_snr

    def sayable(self, words: str, utterance: Utterance) -> bool:
        """Return whether so many words can have been said in so short a time."""
        return utterance.voiced is None or len(words) <= self._settings.likely.fastest * utterance.voiced

    def may_go_on(self, found: Found, phrases: Sequence[Phrase]) -> bool:
        """Return whether what was said may be the beginning of something that means another thing."""
        words = found.words.split()
        return any(
            step.slot is not None or (phrase.intent, phrase.option) != (found.phrase.intent, found.phrase.option)
            for phrase in phrases
            for step in following(self._words[phrase.says], words)
        )

    def read(self, text: Hypothesis, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase is meant by a text that a person wrote."""
        return Reader(self._words, self._left_over, self.matcher).read(text, phrases)

    def doubted(self, match: Match) -> Match:
        """Return a verdict as it is, or asked again where an engine wrote a word that turns what was accepted.

        Each engine has a say with what it holds likeliest: a word that says the contrary is short, and one of them may
        not hear it. What only leaves in doubt counts for nothing where another one wrote the very phrase. What all of
        them wrote was said, however much it sounds like a word of the phrase: "not in the open" for "out in the open".
        """
        best = match.best
        if not self._left_over or match.verdict is not Verdict.ACCEPTED or not best or not best.phrase.affirms:
            return match
        meant = best.words.split()
        texts = {item.engine: item.text for item in reversed(match.heard)}.values()
        turns = [self._left_over.heard_turn(written_as_words(text).split(), meant, self._apart) for text in texts]
        word_for_word = any(written_as_words(text).split() == meant for text in texts)
        if texts and all(self._left_over.says_otherwise(written_as_words(text).split(), meant) for text in texts):
            return replace(match, verdict=Verdict.UNCLEAR, runner_up=self._contrary_of(best, match.heard))
        for turn in turns:
            if turn is Turn.DENIED or (turn is Turn.DOUBTED and not word_for_word):
                return replace(match, verdict=Verdict.UNCLEAR, runner_up=self._contrary_of(best, match.heard))
        return match

    def _contrary_of(self, found: Found, written: Sequence[Hypothesis]) -> Found | None:
        """Return what denies a finding, in the words that sound most like what was written."""
        made = self._contraries.of(found.phrase) if self._contraries else None
        return next(iter(self.matcher([made]).nearest(written)), None) if made else None

    def against(self, texts: Sequence[str], heard: Sequence[Heard], phrases: Sequence[Phrase]) -> list[str]:
        """Return for each of the texts that affirms the contraries that sound most like what engines wrote, and most
        like the text itself: by that one it is taken for its opposite most easily."""
        written = [text for one in heard for text in one.written]
        found: dict[str, None] = {}
        for text in texts:
            for phrase, steps in named(self._words, text.split(), phrases):
                for near in (written, [Hypothesis(text, 0.0, "")]) if phrase.affirms else ():
                    one = self._contrary_of(Found(phrase, steps, 0.0, 0.0), near)
                    found |= {one.words: None} if one and one.steps else {}
        return list(found)

    def _apart(self, one: Sequence[str], other: Sequence[str]) -> float:
        """Return how far apart words are by their sound, of the ways in which they are usually said."""
        return apart(sounds_of(" ".join(one), self._lexicon), sounds_of(" ".join(other), self._lexicon))

    def _same(self, one: str, other: str) -> bool:
        """Return whether a written word is another one: it sounds the same, or is no word and a slip away from it."""
        if set(self._lexicon(one)) & set(self._lexicon(other)):
            return True
        return not self._listed(one) and is_slip(one, other)

    def in_doubt(self, match: Match, first: Heard, phrases: Sequence[Phrase]) -> bool:
        """Return whether more is to be asked than the first engine, which was not sure: where it held a phrase likely
        enough, or what it wrote sounds like one."""
        if match.best is None:
            return False
        if match.best.score >= self._settings.likely.doubt:
            return True
        return self.sounds_like_one(first, phrases)

    def sounds_like_one(self, heard: Heard, phrases: Sequence[Phrase]) -> bool:
        """Return whether what an engine wrote sounds like a phrase, though it may hold another likelier."""
        return max(self.by_sound([heard], phrases).values(), default=float("-inf")) >= self._settings.ask

    def _allowed(self, texts: Iterable[str], phrases: Sequence[Phrase]) -> list[str]:
        """Return those of the texts that are a phrase, word for word."""
        graphs = self._laid_out(phrases)
        return [text for text in texts if any(parse(graph, text.split()) is not None for graph in graphs)]

    def _laid_out(self, phrases: Sequence[Phrase]) -> list[WordGraph]:
        return [self._words[phrase.says] for phrase in phrases]

    def _graph(self, says: str) -> SoundGraph:
        if says not in self._graphs:
            self._graphs[says] = sound_graph(self._words[says], self._lexicon)
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
        found: dict[Meaning, Found] = {}
        for item in self._all_candidates(hypotheses):
            if item.meaning not in found or item.evidence > found[item.meaning].evidence:
                found[item.meaning] = item
        ranked = ranked_by_evidence(undenied(list(found.values())))
        own = self._settings
        return decided(ranked, own.ask, own.accept, own.margin, tuple(hypotheses))

    def nearest(self, hypotheses: Sequence[Hypothesis]) -> list[Found]:
        """Return the phrases that sound most like any of what the engines wrote, nearest first."""
        found: dict[str, Found] = {}
        for item in self._all_candidates(hypotheses):
            if item.words not in found or item.score > found[item.words].score:
                found[item.words] = item
        return sorted(found.values(), key=lambda item: -item.score)

    def _all_candidates(self, hypotheses: Sequence[Hypothesis]) -> Iterator[Found]:
        """Yield the few best phrases for each writing."""
        writings = writings_of(hypotheses)
        if not writings:
            return
        sounds = [sounds_of(writing.text, self._lexicon) for writing in writings]
        for costs, heard, writing in zip(self._search.costs(sounds), sounds, writings, strict=True):
            yield from self._candidates(costs, heard, writing)

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
        phrase = self._phrases[path.phrase]
        evidence = writing.likelihood - own.steepness * cost - phrase.rare
        return Found(phrase, path.words, score, evidence)


def _count(sounds: Sequence[str]) -> int:
    return sum(sound != BOUNDARY for sound in sounds)
