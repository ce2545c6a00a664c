"""Holds the engines that hear, and asks them what was said. Never decides what follows from it.

An engine that fails is done without, and said to be: the others go on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from assistant.core.errors import AssistantError, DeviceError
from assistant.core.hearing.found import Match
from assistant.core.hearing.judging import Doubt
from assistant.core.hearing.matching import Phrasebook
from assistant.core.types import Heard, Hypothesis, Phrase, Utterance, Verdict
from assistant.ports import Recogniser, StreamingRecogniser, WeighingRecogniser

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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
        heard = self._ask(first, utterance, phrases)
        possible = [item for item in heard.allowed if self.phrasebook.sayable(item.words, utterance)]
        if possible:
            match = self._settled(utterance, phrases, replace(heard, allowed=tuple(possible)), others)
        elif heard.allowed:
            match = Match(Verdict.NOT_FOR_ME, heard=heard.written)
        else:
            both = [heard, *(self._ask(engine, utterance, phrases) for engine in others)]
            match = self.phrasebook.judge(both, phrases)
        if match.best and not self.phrasebook.sayable(match.best.words, utterance):
            match = replace(match, verdict=Verdict.NOT_FOR_ME)
        return replace(match, noisy=self.phrasebook.noisy(utterance))

    def _settled(
        self, utterance: Utterance, phrases: Sequence[Phrase], first: Heard, others: Sequence[Recogniser]
    ) -> Match:
        """Return the verdict of an engine that tells how likely the phrases are, with the others where it is in doubt.

        Where it does not know which phrase it was, they weigh the same phrases; where it does not know whether it
        was one at all, they say what they hear by themselves.
        """
        book = self.phrasebook.amid_talk() if utterance.amid_talk else self.phrasebook
        heard, match = [first], book.judge([first], phrases)
        for engine in others:
            match book.in_doubt(match):
                case Doubt.NONE:
                    break
                case Doubt.WHICH:
                    heard.append(self._ask(engine, utterance, phrases, [item.words for item in first.allowed]))
                    match = book.judge(heard, phrases)
                case Doubt.WHETHER:
                    match = book.agreed(match, self._ask(engine, utterance, phrases), phrases)
        return match

    def may_go_on(self, match: Match, phrases: Sequence[Phrase]) -> bool:
        """Return whether more may still be said: what was understood is no whole phrase, or begins another one."""
        whole = match.verdict is Verdict.ACCEPTED and match.best is not None
        return not (whole and match.best) or self.phrasebook.may_go_on(match.best, phrases)

    def read(self, text: Hypothesis, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase is meant by what was written on a keyboard."""
        return self.phrasebook.read(text, phrases)

    def follow(self, sound: NDArray[np.float32], phrases: Sequence[Phrase] | None) -> None:
        """Let the engines that can listen while one still speaks; `phrases` are given at the beginning only."""
        for engine in self.engines:
            if not isinstance(engine, StreamingRecogniser):
                continue
            if phrases is not None:
                engine.begin(phrases)
            engine.push(sound)

    def close(self) -> None:
        """Let all engines go."""
        for engine in self.engines:
            engine.close()

    def _ask(
        self, engine: Recogniser, utterance: Utterance, phrases: Sequence[Phrase], likely: Sequence[str] = ()
    ) -> Heard:
        """Let an engine hear, or weigh what is likely if it can."""
        try:
            if likely and isinstance(engine, WeighingRecogniser):
                return Heard(allowed=engine.weigh(utterance, likely))
            return engine.hear(utterance, phrases)
        except DeviceError as fault:
            self.faults.append(fault)
            self._leave_out(engine)
            return Heard()

    def _leave_out(self, engine: Recogniser) -> None:
        """Do without an engine that failed, from now on, if there is another; the only one starts anew."""
        if len(self.engines) > 1:
            self.engines = tuple(other for other in self.engines if other is not engine)
            engine.close()
            self.warnings.append("One of my ears failed. I go on with the other, and may be slower.")
