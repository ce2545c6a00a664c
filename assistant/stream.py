"""Holds a stream of sound on its way to what was said in it. Never decides what follows from that.

One rule tells when somebody has ended, by what may still follow: a short silence is enough where what was said is a
whole phrase that nothing allowed goes on from; else a longer one is waited for, and the longest where numbers are
allowed, for after "three" there may come "point eight".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.core.hearing.found import Match
from assistant.core.hearing.segmenting import LONG_END, SHORT_END, USUAL_END, Segmenter
from assistant.core.types import Phrase, Utterance
from assistant.ears import Ears
from assistant.ports import VoiceActivity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Phrases = Callable[[], Sequence[Phrase]]
"""Gives what may be said now."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """An utterance, and what was said in it."""

    utterance: Utterance
    match: Match


class Stream:
    """Takes blocks of sound, and gives each utterance as it ends."""

    def __init__(self, ears: Ears, voice: VoiceActivity, segmenter: Segmenter) -> None:
        self._ears = ears
        self._voice = voice
        self._segmenter = segmenter
        self._longest = segmenter.end_silence
        self._following = False
        self._looked = False

    @property
    def speaking(self) -> bool:
        """Whether somebody has begun to speak and not yet ended."""
        return self._segmenter.speaking

    def push(self, block: NDArray[np.float32], phrases: Phrases) -> Spoken | None:
        """Take the next block; return what it ends."""
        utterance = self._segmenter.push(block, self._voice(block))
        if utterance:
            self._voice.reset()
            self._following = False
            return Spoken(utterance, self._ears.hear(utterance, phrases()))
        self._follow(block, phrases)
        return self._early(phrases)

    def flush(self, phrases: Phrases) -> Spoken | None:
        """Return what was being said when the sound ended."""
        utterance = self._segmenter.flush()
        return Spoken(utterance, self._ears.hear(utterance, phrases())) if utterance else None

    def forget(self) -> None:
        """Drop what has begun: the program's own voice may be in it."""
        self._segmenter.skip(0)
        self._voice.reset()

    def _follow(self, block: NDArray[np.float32], phrases: Phrases) -> None:
        """Let the engines that can listen while the person still speaks."""
        if self.speaking:
            if self._following:
                self._ears.follow(block, None)
            else:
                self._ears.follow(self._segmenter.held, phrases())
        self._following = self.speaking

    def _early(self, phrases: Phrases) -> Spoken | None:
        """Return what was said before a short silence, if it is a whole phrase that nothing can go on from."""
        if not self.speaking or self._segmenter.silence < SHORT_END:
            self._looked = False
            return None
        if self._looked:
            return None
        self._looked = True
        usual = LONG_END if any("<" in phrase.says for phrase in phrases()) else USUAL_END
        self._segmenter.end_silence = min(usual, self._longest)
        match = self._ears.glance(Utterance(self._segmenter.held, 0), phrases())
        utterance = self._segmenter.flush() if match else None
        if not (match and utterance):
            return None
        self._voice.reset()
        self._following = False
        return Spoken(utterance, replace(match, noisy=self._ears.phrasebook.noisy(utterance)))
