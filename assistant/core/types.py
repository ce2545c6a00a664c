"""What flows, in path order: utterance → hypotheses → intent → events → state → reply.

Events are in `job/events/` and the state in `job/state/`; here is everything else that one stage
hands to the next. Never anything that acts.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from assistant.core.quantities.units import Value

RATE = 16_000
"""Samples a second of all sound inside the program [hertz]."""


@dataclass(frozen=True, slots=True, eq=False)
class Utterance:
    """Voiced sound between two silences."""

    samples: NDArray[np.float32]
    """Mono, −1 to 1, at `RATE`."""
    start: int
    """Index of the first sample in its stream: audio time is counted, never clocked."""
    snr_db: float | None = None
    """Level of the speech above the noise before it [decibel]; None where no noise was heard."""
    clipped: float = 0.0
    """Share of the samples at full scale, 0 to 1."""
    cut: bool = False
    """True where the cap on length ended it, not a silence."""
    waited: float = 0.0
    """Silence at its end, by which it was known to be over [second]."""
    voiced: float | None = None
    """How much of it is a voice [second]; None where nobody measured it."""
    amid_talk: bool = False
    """Whether others talk behind it, or it follows closely on what was not meant for the assistant."""

    @property
    def seconds(self) -> float:
        """Length [second]."""
        return len(self.samples) / RATE


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """What one engine wrote down."""

    text: str
    score: float
    """Mean natural-log probability a token, at most 0; 0 is certain."""
    engine: str


@dataclass(frozen=True, slots=True)
class Weighed:
    """Words that may be said now, and how likely an engine holds them."""

    words: str
    likelihood: float
    """Log-likelihood given the sound, less that of what the engine wrote freely [nat]."""
    information: float | None = None
    """How much likelier the sound makes them than they are by themselves (pointwise mutual information) [nat]; None
    where the engine can't tell."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What one engine heard in one utterance."""

    written: tuple[Hypothesis, ...] = ()
    """What it wrote freely, most likely first."""
    allowed: tuple[Weighed, ...] = ()
    """The phrases allowed that it holds likeliest; empty where it can't be led along phrases."""
    best: float | None = None
    """How well the best of all phrases explains the sound, for an engine that writes nothing freely [nat]."""

    @property
    def is_speech(self) -> bool:
        """Whether it heard any speech."""
        return bool(self.written) or self.best is not None


class Verdict(StrEnum):
    """What the matcher makes of an utterance."""

    ACCEPTED = "accepted"
    UNCLEAR = "unclear"
    NOT_FOR_ME = "not_for_me"


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words that may be said now and the intent that they carry."""

    intent: str
    """The name of the intent; several phrases may share one."""
    says: str
    """A JSGF expansion (W3C note, 2000), for instance `(next | following) step` or `<volume> in`.

    A rule reference in it is a slot: what was said there is handed on as its value.
    """
    option: str | None = None
    """For an answer chosen from a list: which one these words choose."""
    rare: float = 0.0
    """How much less often it is said than the others [nat]."""
    affirms: bool = False
    """Whether it says that something is so, or is to happen: then its denial must never be taken for it."""


@dataclass(frozen=True, slots=True)
class Intent:
    """What the person means, in this state. Time-outs and ticks of the clock are intents too."""

    name: str
    words: str = ""
    """The allowed words that it was taken for, numbers as words."""
    value: Value | None = None
    option: str | None = None


@dataclass(frozen=True, slots=True)
class Understanding:
    """The matcher's verdict on one utterance, with what it rests on."""

    verdict: Verdict
    intent: Intent | None = None
    """The best fit, also where the verdict is unclear; None where nothing came near."""
    runner_up: Intent | None = None
    """The best fit with another meaning."""
    score: float = float("-inf")
    """How well the best fit explains the sounds, nats a phoneme; 0 is perfect."""
    margin: float = float("inf")
    """By how much the best meaning is likelier than the next [nat]."""
    heard: tuple[Hypothesis, ...] = field(default=())
    noisy: bool = False
    """Whether there was so much noise that nothing consequential is believed."""
    expected: bool = False
    """Whether an answer was just waited for and nobody else talks, so that it was probably meant for the assistant."""


class Tone(StrEnum):
    """How a reply sounds before its words."""

    PLAIN = "plain"
    ASK = "ask"
    WARN = "warn"
    ALARM = "alarm"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Reply:
    """Words to say, words to show, a tone. An empty `say` is silence."""

    say: str
    show: str
    tone: Tone = Tone.PLAIN
