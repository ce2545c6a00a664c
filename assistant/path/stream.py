"""Holds a stream of sound on its way to what was said in it. Never decides what follows from that.

One rule tells when somebody has ended, by what may still follow: a short silence is enough where what was said is a
whole phrase that nothing allowed goes on from; else a longer one is waited for, and the longest where numbers are
allowed, for after "three" there may come "point eight". The engines are asked before any of these is over, and what
they understood holds at its end: they work while the silence is waited for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.core.hearing.sound.pauses import LONG_END, LOOK, SECOND_LOOK, SHORT_END, USUAL_END
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.matching import LONG_TALK
from assistant.core.types import RATE, Phrase, Utterance, Verdict
from assistant.path.ears import Ears
from assistant.ports import VoiceActivity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CALM = 2.0
"""Time after other talk within which what is said probably belongs to it [second]: people and readers pause less
between two sentences."""
LONG_CALM = 10.0
"""The same after long talk [second]: hardly a command is so long, and who reads aloud goes on."""

FRESH = 3.0
"""The voice detector begins anew after so long without a voice [second]. Its memory gets used to a noise, and to a
voice in it: after 10 s of a compressor as loud as the voice .68 of 60 sentences were cut out whole, with a new
beginning each 3 s .95, as many as in the first second."""
SURELY_NONE = 0.1
"""Probability of a voice below which it may begin anew."""

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
        self._understood: Match | None = None
        """What was said before the silence that lasts now."""
        self._whole = False
        """Whether that is a phrase that nothing allowed goes on from."""
        self._looked_after = 0.0
        """The silence after which it was heard [second]."""
        self._since_fresh = 0
        self._amid_talk_until = 0.0
        """Up to where what is said probably belongs to talk that was not for the assistant [sample]."""

    @property
    def speaking(self) -> bool:
        """Whether somebody has begun to speak and not yet ended."""
        return self._segmenter.speaking

    def push(self, block: NDArray[np.float32], phrases: Phrases) -> Spoken | None:
        """Take the next block; return what it ends."""
        probability = self._voice(block)
        utterance = self._segmenter.push(block, probability)
        if utterance:
            return self._ended(utterance, phrases)
        self._freshen(block, probability)
        return self._early(phrases)

    def flush(self, phrases: Phrases) -> Spoken | None:
        """Return what was being said when the sound ended."""
        utterance = self._segmenter.flush()
        return self._ended(utterance, phrases) if utterance else None

    def forget(self) -> None:
        """Drop what has begun: the program's own voice may be in it."""
        self._segmenter.skip(0)
        self._voice.reset()
        self._understood = None

    def _freshen(self, block: NDArray[np.float32], probability: float) -> None:
        self._since_fresh += len(block)
        if self._since_fresh >= FRESH * RATE and not self.speaking and probability < SURELY_NONE:
            self._voice.reset()
            self._since_fresh = 0

    def _early(self, phrases: Phrases) -> Spoken | None:
        """Understand what was said before a short silence; return it if it is a whole phrase that nothing goes on from.

        Where somebody goes on after all, it is heard anew, the whole of it.
        """
        if not self.speaking or self._segmenter.silence < LOOK:
            self._understood = None
            return None
        if self._segmenter.enough and self._looks_now():
            self._understood = self._look(phrases)
            self._whole = not self._ears.may_go_on(self._understood, phrases())
        if not self._understood or not self._whole or self._segmenter.silence < SHORT_END:
            return None
        utterance = self._segmenter.flush()
        return self._ended(utterance, phrases) if utterance else None

    def _looks_now(self) -> bool:
        """Tell whether what was said is to be heard now: at once, and what is no whole phrase then, once again."""
        if not self._understood:
            return True
        later = self._segmenter.silence >= SECOND_LOOK > self._looked_after
        return later and not self._whole and self._segmenter.voiced < LONG_TALK

    def _look(self, phrases: Phrases) -> Match:
        """Return what was said so far."""
        self._looked_after = self._segmenter.silence
        usual = LONG_END if any("<" in phrase.says for phrase in phrases()) else USUAL_END
        self._segmenter.end_silence = min(usual, self._longest)
        held = self._segmenter.held
        begun, voiced, snr_db = self._segmenter.position - len(held), self._segmenter.voiced, self._segmenter.snr_db
        return self._hear(Utterance(held, begun, voiced=voiced, snr_db=snr_db), phrases)

    def _ended(self, utterance: Utterance, phrases: Phrases) -> Spoken:
        utterance = replace(utterance, amid_talk=self._amid_talk(utterance))
        match = self._understood or self._hear(utterance, phrases)
        if match.verdict is Verdict.NOT_FOR_ME:
            calm = LONG_CALM if (utterance.voiced or 0.0) >= LONG_TALK else CALM
            self._amid_talk_until = self._segmenter.position + (calm - utterance.waited) * RATE
        self._voice.reset()
        self._understood = None
        return Spoken(utterance, replace(match, noisy=self._ears.phrasebook.noisy(utterance)))

    def _hear(self, utterance: Utterance, phrases: Phrases) -> Match:
        return self._ears.hear(replace(utterance, amid_talk=self._amid_talk(utterance)), phrases())

    def _amid_talk(self, utterance: Utterance) -> bool:
        return self._segmenter.talk_behind or utterance.start < self._amid_talk_until
