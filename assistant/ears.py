"""Holds the engines that hear, and asks them what was said. Never decides what follows from it.

An engine that fails is done without, and said to be: the others go on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import TypeVar

from assistant.core.errors import AssistantError, DeviceError
from assistant.core.hearing.found import Match
from assistant.core.hearing.matching import Phrasebook, is_talk
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.ports import Recogniser, WeighingRecogniser

LIKELIEST = 3
"""So many of the phrases that an engine holds likeliest are weighed by all; with more of the first engine's, none was
right that was wrong before."""

Answer = TypeVar("Answer")


@dataclass(slots=True)
class Ears:
    """The engines, first witness first, and the maker of matchers."""

    phrasebook: Phrasebook
    engines: Sequence[Recogniser] = ()
    faults: list[AssistantError] = field(default_factory=list)
    """What failed and was done without; to be shown to the person."""
    warnings: list[str] = field(default_factory=list)
    """What is to be said of it."""

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase was probably said. The engines after the first are asked only where it is in doubt."""
        if not self.engines:
            return Match(Verdict.NOT_FOR_ME)
        first, *others = self.engines
        phrases = self.phrasebook.with_contraries(phrases)
        heard = self._ask(first, utterance, phrases)
        possible = tuple(item for item in heard.allowed if self.phrasebook.sayable(item.words, utterance))
        if possible:
            match = self._settled(utterance, phrases, replace(heard, allowed=possible))
        elif heard.allowed:
            match = Match(Verdict.NOT_FOR_ME, heard=heard.written)
        else:
            match = self.phrasebook.doubted(
                self.phrasebook.judge([heard, *(self._ask(engine, utterance, phrases) for engine in others)], phrases)
            )
        if match.best and not self.phrasebook.sayable(match.best.words, utterance):
            match = replace(match, verdict=Verdict.NOT_FOR_ME)
        return replace(match, noisy=self.phrasebook.noisy(utterance))

    def _settled(self, utterance: Utterance, phrases: Sequence[Phrase], first: Heard) -> Match:
        """Return the verdict of an engine that tells how likely the phrases are, or that of all where it is in doubt.

        Then each engine writes what it hears, the phrases are looked for that sound most like any of it, and each
        engine that can weighs these, the first engine's likeliest, and what two of them give together.
        """
        book = self.phrasebook.around(utterance)
        match = book.doubted(book.judge([first], phrases))
        if match.verdict is Verdict.ACCEPTED and match.best and not book.twins([match.best.words], phrases):
            return match
        if is_talk(utterance, first) and not book.sounds_like_one(first, phrases):
            return replace(match, verdict=Verdict.NOT_FOR_ME)
        if not book.in_doubt(match, first, phrases):
            return match
        engines = list(self.engines)
        with ThreadPoolExecutor() as waiting:  # the engines work in processes of their own, at the same time
            others = waiting.map(lambda engine: self._ask(engine, utterance, phrases), engines[1:])
            heard = [first, *others]
            near = book.by_sound(heard, phrases)
            thought_of = [item.words for one in heard for item in one.allowed[:LIKELIEST]]
            first_thought_of = list(dict.fromkeys([*thought_of[:2], *list(near)[:1]]))
            mixed = book.crossed(first_thought_of, [*thought_of, *near], phrases)
            twins = book.twins(first_thought_of, phrases)
            against = book.against(first_thought_of, heard, phrases)
            likely = list(dict.fromkeys([*first_thought_of, *twins, *against, *thought_of, *near, *mixed]))
            allowed = waiting.map(lambda engine, one: self._weigh(engine, utterance, likely, one), engines, heard)
        weighed = [replace(one, allowed=each) for one, each in zip(heard, allowed, strict=True)]
        return book.doubted(book.judge_together(weighed, near, phrases))

    def may_go_on(self, match: Match, phrases: Sequence[Phrase]) -> bool:
        """Return whether more may still be said: what was understood is no whole phrase, or begins another one."""
        whole = match.verdict is Verdict.ACCEPTED and match.best is not None
        more = self.phrasebook.with_contraries(phrases)
        return not (whole and match.best) or self.phrasebook.may_go_on(match.best, more)

    def read(self, text: Hypothesis, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase is meant by what was written on a keyboard."""
        return self.phrasebook.read(text, self.phrasebook.with_contraries(phrases))

    def close(self) -> None:
        """Let all engines go."""
        for engine in self.engines:
            engine.close()

    def _ask(self, engine: Recogniser, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        """Let an engine hear."""
        return self._tried(engine, lambda: engine.hear(utterance, phrases), Heard())

    def _weigh(
        self, engine: Recogniser, utterance: Utterance, texts: Sequence[str], heard: Heard
    ) -> tuple[Weighed, ...]:
        """Let an engine weigh texts, if it can, also those that it held likely: it tells more of them then."""
        if not texts or not isinstance(engine, WeighingRecogniser) or engine not in self.engines:
            return heard.allowed
        if not heard.is_speech:  # who heard none holds no phrase likely
            return tuple(Weighed(text, float("-inf")) for text in texts)
        nothing: tuple[Weighed, ...] = ()
        weighed = self._tried(engine, lambda: engine.weigh(utterance, texts, heard), nothing)
        again = {item.words for item in weighed}
        return (*weighed, *(item for item in heard.allowed if item.words not in again))

    def _tried(self, engine: Recogniser, ask: Callable[[], Answer], without: Answer) -> Answer:
        """Return an engine's answer, or what stands for it where the engine failed."""
        try:
            return ask()
        except DeviceError as fault:
            self.faults.append(fault)
            self._leave_out(engine)
            return without

    def _leave_out(self, engine: Recogniser) -> None:
        """Do without an engine that failed, from now on, if there is another; the only one starts anew."""
        if len(self.engines) > 1:
            self.engines = tuple(other for other in self.engines if other is not engine)
            engine.close()
            self.warnings.append("One of my ears failed. I go on with the other, and may be slower.")
