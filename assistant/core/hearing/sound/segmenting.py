"""Holds where an utterance begins and ends. Never asks a clock: time is the count of the samples."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from math import log10
from statistics import median
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import ReadingError
from assistant.core.hearing.sound.levels import clipped_share, decibel, power
from assistant.core.hearing.sound.pauses import LONG_END
from assistant.core.types import RATE, Utterance

if TYPE_CHECKING:
    from numpy.typing import NDArray

DIGITAL_SILENCE_DB = -100.0
"""Level that no microphone is as quiet as, of full scale: under the least step of 16 bits [decibel]."""
NEARER = 6.0
"""By how much a voice has to be louder than talk in the background to begin an utterance [decibel]
(../README.md)."""
STILL_NEAR = 4.0
"""By how much it has to be louder to go on with one [decibel]."""
SMOOTH = 4
"""Over so many blocks loudness is averaged for that: a syllable."""
TALK_MEMORY = 6.0
"""Time constant of its level [second]: longer than that of other noise, for talk sinks between two words."""
HUSHED = 0.5
"""Time without any voice after which no one talks in the background any more [second]."""
LOWEST_RATIO = 0.01
"""Least ratio of speech to noise that is told, −20 dB: below, the difference of the two is chance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmenterSettings:
    """What makes an utterance. Times in seconds, probabilities 0 to 1."""

    voice_on: float = 0.35
    """Probability from which a block is voiced (../README.md)."""
    voice_off: float = 0.2
    """Probability below which a voiced stretch is broken; the gap between the two stops flutter."""
    start: float = 0.1
    """Unbroken voice that begins an utterance."""
    minimum_voice: float = 0.16
    """Voice that an utterance must hold in all: a dropped spanner is none."""
    pre_roll: float = 0.3
    """Sound kept from before the first voiced block: the detector wakes late, and a recogniser likes a lead-in."""
    longest: float = 8.0
    """Length at which an utterance is cut, for steady noise may never fall silent."""
    floor_memory: float = 1.0
    """Time constant of the noise floor."""

    def __post_init__(self) -> None:
        """Refuse settings that contradict each other."""
        if not 0 < self.voice_off <= self.voice_on <= 1:
            message = f"0 < voice_off ≤ voice_on ≤ 1 must hold, not {self.voice_off:g} and {self.voice_on:g}"
            raise ReadingError(message)
        if not 0 <= self.pre_roll < self.longest or not 0 < self.start <= self.minimum_voice < self.longest:
            message = "0 < start ≤ minimum_voice < longest and 0 ≤ pre_roll < longest must hold"
            raise ReadingError(message)


class Segmenter:
    """Cuts a stream of blocks into utterances; no sample belongs to two of them.

    Who talks on without a pause until an utterance is cut is a radio, or people beside the car. From then on, until
    they fall silent, only a voice that is clearly louder begins an utterance.

    Change `end_silence` [second] between two blocks to suit what may be said next.
    """

    def __init__(self, settings: SegmenterSettings | None = None, end_silence: float = LONG_END) -> None:
        self.settings = settings or SegmenterSettings()
        self.end_silence = end_silence
        self._position = 0
        self._begun = False
        self._voiced = 0
        self._soft = 0
        self._quiet = 0
        self._speech = 0.0
        self.talk_behind = False
        """Whether somebody talks in the background."""
        self._mute = 0
        self._recent: deque[float] = deque(maxlen=SMOOTH)
        self.noise_db: float | None = None
        """Level of the noise between utterances, of full scale [decibel]; None where none was heard yet."""
        self._clear()

    @property
    def speaking(self) -> bool:
        """Whether an utterance has begun and not yet ended."""
        return self._begun

    @property
    def silence(self) -> float:
        """Silence since the last voiced sound of an utterance that has begun [second]."""
        return self._quiet / RATE if self._begun else 0.0

    @property
    def voiced(self) -> float:
        """How much voice the utterance so far holds [second]: amid talk, also what is hardly louder between two sounds
        that are. Without it a clear phrase seemed too fast for anyone to have said it."""
        return (self._voiced + self._soft) / RATE

    @property
    def snr_db(self) -> float | None:
        """Mean power of the voiced blocks so far, less the noise in them, over that noise [decibel], if any."""
        if self.noise_db is None or not self._voiced:
            return None
        noise = 10 ** (self.noise_db / 10)
        speech = self._speech / self._voiced - noise
        return 10 * log10(max(speech / noise, LOWEST_RATIO))

    @property
    def enough(self) -> bool:
        """Whether the utterance so far holds enough voice to be one."""
        return self._voiced >= self.settings.minimum_voice * RATE

    @property
    def held(self) -> NDArray[np.float32]:
        """The sound of the utterance so far, its pre-roll included."""
        return np.concatenate(self._blocks) if self._blocks else np.zeros(0, np.float32)

    @property
    def position(self) -> int:
        """Samples that have passed since the stream began."""
        return self._position

    def push(self, block: NDArray[np.float32], voice_probability: float) -> Utterance | None:
        """Take the next block and how likely it holds a voice; return the utterance that it ends, if any."""
        self._position += len(block)
        self._blocks.append(block)
        self._held += len(block)
        loudness = power(block)
        self._notice_talk(loudness, len(block), voice_probability)
        if self._is_voiced(voice_probability):
            self._soft += self._quiet if self._begun and self.talk_behind else 0
            self._voiced += len(block)
            self._speech += loudness * len(block)
            self._quiet = 0
            self._begun = self._begun or self._voiced >= self.settings.start * RATE
        else:
            self._quiet += len(block)
            if not self._begun:
                self._voiced, self._speech = 0, 0.0
        if not self._begun:
            self._trim()
            return None
        return self._ended()

    def flush(self) -> Utterance | None:
        """Return what was being said when the stream ended, if it was long enough."""
        return self._finish(cut=False)

    def skip(self, samples: int) -> None:
        """Let samples pass unheard, such as the program's own voice; what had begun and the pre-roll are dropped."""
        self._position += samples
        self._clear()

    def _is_voiced(self, probability: float) -> bool:
        """Tell whether a block is voiced: it takes more to begin a voiced stretch than to keep it up."""
        going_on = self._voiced > 0 and self._quiet == 0
        voice = probability >= (self.settings.voice_off if going_on else self.settings.voice_on)
        return voice and self._is_near(STILL_NEAR if going_on else NEARER)

    def _is_near(self, by: float) -> bool:
        """Tell whether the sound is so much louder than the talk in the background, if there is any."""
        if not self.talk_behind or self.noise_db is None:
            return True
        return decibel(sum(self._recent) / len(self._recent), DIGITAL_SILENCE_DB) >= self.noise_db + by

    def _notice_talk(self, loudness: float, samples: int, probability: float) -> None:
        """Keep the loudness of late, and forget the talk in the background when it has fallen silent."""
        self._recent.append(loudness)
        self._mute = 0 if probability >= self.settings.voice_off else self._mute + samples
        self.talk_behind = self.talk_behind and self._mute < HUSHED * RATE

    def _ended(self) -> Utterance | None:
        if self._quiet >= self.end_silence * RATE:
            return self._finish(cut=False)
        if self._held >= self.settings.longest * RATE:
            self.talk_behind = True
            self.noise_db = median(decibel(power(block), DIGITAL_SILENCE_DB) for block in self._blocks)
            return self._finish(cut=True)
        return None

    def _finish(self, *, cut: bool) -> Utterance | None:
        utterance = None
        if self._begun and self.enough:
            samples = np.concatenate(self._blocks)
            utterance = Utterance(
                samples=samples,
                start=self._position - len(samples),
                snr_db=self.snr_db,
                clipped=clipped_share(samples),
                cut=cut,
                waited=self._quiet / RATE,
                voiced=self.voiced,
            )
        self._clear()
        return utterance

    def _trim(self) -> None:
        """Keep the pre-roll and the voiced stretch that may become an utterance."""
        wanted = self._voiced + self.settings.pre_roll * RATE
        while self._held - len(self._blocks[0]) >= wanted:
            block = self._blocks.popleft()
            self._held -= len(block)
            self._learn(block)

    def _learn(self, block: NDArray[np.float32]) -> None:
        """Let a block that no voice followed within the pre-roll into the noise floor.

        Decibels are averaged, not powers, so that one clang does not hide the noise for a second.
        """
        level = decibel(power(block), DIGITAL_SILENCE_DB)
        if level <= DIGITAL_SILENCE_DB:
            return
        memory = TALK_MEMORY if self.talk_behind else self.settings.floor_memory
        share = min(1.0, len(block) / (memory * RATE))
        self.noise_db = level if self.noise_db is None else self.noise_db + share * (level - self.noise_db)

    def _clear(self) -> None:
        self._blocks: deque[NDArray[np.float32]] = deque()
        self._held = 0
        self._voiced = 0
        self._soft = 0
        self._speech = 0.0
        self._quiet = 0
        self._begun = False
