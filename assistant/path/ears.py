"""Holds the engines that hear, and asks them what was said. Never decides what follows from it.

An engine that fails is done without while it fails, and that is said: the others go on. Beside the talk it is tried
again, and told when it is back.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np

from assistant.core.errors import AssistantError, DeviceError
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.matching import Phrasebook, is_talk
from assistant.core.job.pauses import Pace, Pauses
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance, Verdict, Weighed
from assistant.path.revival import Revival
from assistant.path.watch import Watch
from assistant.ports import CheckedRecogniser, Recogniser, WeighingRecogniser

LIKELIEST = 3
"""So many of the phrases that an engine holds likeliest are weighed by all; with more of the first engine's, none was
right that was wrong before."""

TRIAL = Utterance(np.sin(np.arange(RATE // 2) * 0.2).astype(np.float32) * np.float32(0.01), 0)
"""What an engine that failed is given to hear before it is trusted again: a hum of half a second."""
FAILED = "One of my ears failed. I go on with the other, and may be slower."
ALL_FAILED = "My hearing failed and starts anew. Say it again."
BACK, ALL_BACK = "I hear with both ears again.", "My hearing is back."
SLOW, QUICK = "The computer is busy, so I am slow.", "I am quick again."

Answer = TypeVar("Answer")


@dataclass(slots=True)
class _Out:
    """An engine that failed, and the way back."""

    engine: Recogniser
    revival: Revival[Recogniser]


@dataclass(slots=True)
class Ears:
    """The engines, the first one first, and the maker of matchers."""

    phrasebook: Phrasebook
    engines: Sequence[Recogniser] = ()
    faults: list[AssistantError] = field(default_factory=list)
    """What failed and was done without; to be shown to the person."""
    warnings: list[str] = field(default_factory=list)
    """What is to be said of it."""
    waited_for: bool = False
    """Whether somebody waits for the verdicts, and wants to know where they come late."""
    steady: Callable[[], float] = time.monotonic
    """A clock that only goes forward [second]."""
    _pace: Pace = field(default_factory=Pace)
    _order: tuple[Recogniser, ...] = ()
    """All engines, the first one first, also those that are left out."""
    _out: list[_Out] = field(default_factory=list)
    _pauses: dict[str, Pauses] = field(default_factory=dict)
    """How often an engine failed since it heard anything, by its short name."""
    _watches: list[Watch] = field(default_factory=list)
    _hearing: bool = False
    _loaded: bool = False
    """Whether anything was heard: the first verdict waits for the loading, and tells nothing of the pace."""
    _failing: threading.Lock = field(default_factory=threading.Lock)
    """Engines that are asked at once may fail at once."""

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Match:
        """Return which phrase was probably said. The engines after the first are asked only where it is in doubt."""
        self.catch_up()
        if not self.engines:
            return Match(Verdict.NOT_FOR_ME)
        began, faults = self.steady(), len(self.faults)
        self._hearing = True
        try:
            return self._heard(utterance, phrases)
        finally:
            self._hearing = False
            if self._loaded and len(self.faults) == faults:
                self._keep_pace(self.steady() - began)
            self._loaded = True

    def _heard(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Match:
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

    def watch(self) -> None:
        """Begin to watch over the engines while nothing is to be heard."""
        self._watches = [
            Watch(engine, lambda engine=engine: engine in self.engines and not self._hearing)  # type: ignore[misc]
            for engine in self.engines
            if isinstance(engine, CheckedRecogniser)
        ]

    def catch_up(self) -> None:
        """Leave out what was found dead meanwhile, and take back what answers again. Called between utterances."""
        for watch in self._watches:
            if (fault := watch.fault) and not any(out.engine is watch.engine for out in self._out):
                self._fail(watch.engine, fault)
        for out in self._out[:]:
            if out.revival.take():
                self._out.remove(out)
                self._take_back(out.engine)

    def close(self) -> None:
        """Let all engines go; may be called twice."""
        for watch in self._watches:
            watch.close()
        for out in self._out:
            out.revival.give_up()
        for engine in (*self.engines, *(out.engine for out in self._out)):
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
            answer = ask()
        except DeviceError as fault:
            self._fail(engine, fault)
            return without
        self._pauses.pop(engine.engine, None)
        return answer

    def _fail(self, engine: Recogniser, fault: DeviceError) -> None:
        """Do without an engine that failed, if there is another; the only one starts anew. Both are tried again."""
        with self._failing:
            self.faults.append(fault)
            if not any(out.engine is engine for out in self._out):
                self._leave_out(engine)

    def _leave_out(self, engine: Recogniser) -> None:
        self._order = self._order or tuple(self.engines)
        alone = len(self.engines) == 1
        if not alone:
            self.engines = tuple(other for other in self.engines if other is not engine)
            engine.close()
        self.warnings.append(ALL_FAILED if alone else FAILED)
        pauses = self._pauses.get(engine.engine, Pauses()).failed(self.steady())
        self._pauses[engine.engine] = pauses
        revival = Revival(lambda: _tried_out(engine), Recogniser.close, pauses, lambda: not self._hearing)
        self._out.append(_Out(engine, revival))

    def _take_back(self, engine: Recogniser) -> None:
        """Ask an engine again that failed and answers now, at its place among the others."""
        alone = engine in self.engines
        self.engines = tuple(one for one in self._order if one is engine or one in self.engines)
        for watch in self._watches:
            if watch.engine is engine:
                watch.fault = None
        told = ALL_FAILED if alone else FAILED
        if told in self.warnings:  # it was back before anybody was told
            self.warnings.remove(told)
        else:
            self.warnings.append(ALL_BACK if alone else BACK)

    def _keep_pace(self, seconds: float) -> None:
        """Tell once that verdicts come late, and once that they do no more."""
        before, self._pace = self._pace, self._pace.after(seconds)
        if self.waited_for and before.slow != self._pace.slow:
            self.warnings.append(SLOW if self._pace.slow else QUICK)


def _tried_out(engine: Recogniser) -> Recogniser:
    """Return an engine that hears; raises `DeviceError` for one that does not."""
    engine.hear(TRIAL, (Phrase("next", "next step"),))
    return engine
