"""What the data path needs from outside, as protocols. Adapters implement them; only `wiring.py` names those.

Every port may raise `DeviceError`, whose message says how to go on. Unless said otherwise a call
blocks and is made from the one thread that drives the path.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from assistant.core.types import Heard, Phrase, Tone, Utterance, Weighed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from assistant.core.errors import DeviceError
    from assistant.core.job.chain import Damage
    from assistant.core.job.events import Event, Recorded


class SoundSource(Protocol):
    """A microphone or a sound file."""

    name: str
    """What a person would call it."""

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield consecutive mono blocks at `RATE`, −1 to 1, each 512 samples; ends with the source.

        A live source blocks until a block is there, and raises `DeviceError` when none came for 1 second.
        """
        ...

    def forget(self) -> None:
        """Drop what was captured but not yet read, and the echo that follows: the program's own voice is in it.

        Called by the thread that reads. A file holds nobody's voice but the person's, and drops nothing.
        """
        ...

    def close(self) -> None:
        """Let the device or the file go; may be called twice."""
        ...


@runtime_checkable
class LosableSource(SoundSource, Protocol):
    """One that goes on where the device goes away: it gives silence meanwhile, and raises nothing."""

    lost: DeviceError | None
    """Why nothing is heard, once that lasts; None while all is well."""

    @property
    def broken(self) -> bool:
        """Whether sound was missing since this was asked last: what had begun then must not be put together."""
        ...


class VoiceActivity(Protocol):
    """Says how likely it is that a block holds a voice. Keeps state from block to block."""

    def __call__(self, block: NDArray[np.float32]) -> float:
        """Return the probability of a voice in 512 samples at `RATE`, 0 to 1."""
        ...

    def reset(self) -> None:
        """Forget what came before."""
        ...


class Recogniser(Protocol):
    """Writes down what it hears. One utterance at a time."""

    name: str
    """What a person would call it."""
    engine: str
    """Its short name, that of its hypotheses."""

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        """Return what may have been said, most likely first; empty where nothing was heard.

        `phrases` are those allowed now: an engine that wants a vocabulary may take its words from
        them, or tell how likely each is; one that writes freely ignores them.
        """
        ...

    def close(self) -> None:
        """Let the model or the child process go; may be called twice."""
        ...


@runtime_checkable
class WeighingRecogniser(Recogniser, Protocol):
    """Can also be asked how likely given words are."""

    def weigh(self, utterance: Utterance, texts: Sequence[str], heard: Heard) -> tuple[Weighed, ...]:
        """Return how likely each text is, in lower-case words, beside what it wrote; `heard` is its answer before.

        Several engines are asked at once, each by a thread that only waits for it.
        """
        ...


@runtime_checkable
class CheckedRecogniser(Recogniser, Protocol):
    """Can also be asked whether it is there, while nothing is to be heard."""

    def check(self) -> None:
        """Return once it has answered; raises `DeviceError` where it does not. Called by any thread."""
        ...


@runtime_checkable
class Speech(Protocol):
    """Text to speech that only renders."""

    name: str

    def render(self, text: str) -> NDArray[np.float32]:
        """Return the spoken text, mono, −1 to 1, at `RATE`; at most 5 seconds are waited for.

        Renderings are kept, so asking again for the same text is free.
        """
        ...

    def prepare(self, text: str) -> None:
        """Render ahead, without waiting, what will probably be said next."""
        ...

    def close(self) -> None:
        """End the child process; may be called twice."""
        ...


class Player(Protocol):
    """Plays sound to a loudspeaker, or writes it to a file."""

    name: str

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Play the tone and then the sound. A loudspeaker returns when the last sample was heard or `stop` came."""
        ...

    def start(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Begin to play the same and return at once, cutting off what still sounds.

        What goes wrong after that is raised by the next call.
        """
        ...

    @property
    def playing(self) -> bool:
        """Whether a loudspeaker sounds now."""
        ...

    def stop(self) -> None:
        """Be silent within 0.2 seconds; may be called from any thread."""
        ...

    def close(self) -> None:
        """Finish the file or let the device go; may be called twice."""
        ...


@dataclass(frozen=True, slots=True)
class Called:
    """What came of a call for help."""

    trial: bool
    fault: str
    """Why it failed, in words; empty where it did not."""


class Caller(Protocol):
    """Calls for help by a command of the owner's."""

    def call(self, *, trial: bool) -> None:
        """Begin to call, and return at once; never fails: what went wrong is the outcome.

        It waits for no other call: an alarm must not stand behind a trial that hangs.
        """
        ...

    def outcome(self) -> Called | None:
        """Return what came of a call that has ended since this was asked last; None where none has."""
        ...

    def wait(self) -> bool:
        """Return once an outcome is there to be asked for, or no call runs any more; whether one is there."""
        ...

    def close(self) -> None:
        """End what still runs; may be called twice."""
        ...


class Journal(Protocol):
    """The facts of all jobs, on disk. What was appended survives a crash, whole and in order."""

    where: str
    """The path or name to show a person."""
    warnings: list[str]
    """What has to be said aloud of it; who says it takes it away."""
    behind: bool
    """Whether facts wait in memory to be written."""

    def hold(self, job: str) -> None:
        """Let nobody else write a job until the journal is closed; DeviceError where somebody else does.

        Whoever goes on with a job holds it first, and reads it then. An append holds its job by itself.
        """
        ...

    def append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Write all of the events or none, and return only once they are safely on disk."""
        ...

    def damage(self, job: str) -> Damage | None:
        """Return from where on a job can't be believed, and why; None where all of it can be."""
        ...

    def set_aside(self, job: str, kept: int, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Keep the facts of a job after so many aside, and go on from there with these events: all of it or nothing."""
        ...

    def read(self, job: str, *kinds: type[Event]) -> tuple[Recorded, ...]:
        """Return what can be believed of one job in order, only the events of some kinds where any are named.

        Empty where there is no such job; DataError for an event that can't be read, of those that are asked for.
        """
        ...

    def jobs(self) -> tuple[str, ...]:
        """Return the names of all jobs, oldest first."""
        ...

    def close(self) -> None:
        """Let the file go; may be called twice."""
        ...


class Clock(Protocol):
    """Asked by the path only; the core is told the time."""

    def now(self) -> datetime:
        """Return the time, with its offset from UTC."""
        ...

    def move(self, seconds: float) -> None:
        """Let time pass [second] where it does not pass by itself."""
        ...
