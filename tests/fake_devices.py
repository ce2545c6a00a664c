"""Devices that can be unplugged, taken, muted and plugged in again, behind `sounddevice`; and a talk beside them."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters import microphone
from assistant.adapters.microphone import Microphone
from assistant.adapters.voice_silero import SileroVoice
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import RATE, Heard, Hypothesis, Phrase, Utterance
from assistant.path.desk import Desk
from assistant.path.kept_source import KeptSource
from assistant.path.listening import listen


class Sound:
    """Stands for the module `sounddevice`: what it knows of is what was there when it looked last."""

    class PortAudioError(Exception):
        pass

    def __init__(self, *names: str) -> None:
        self.present = [*names]
        """The microphones that are plugged in."""
        self.taken = self.muted = False
        self.speed = 1.0
        """By how much more comes than was promised."""
        self.loudspeaker = "there"
        """Or `gone`, or `hangs`: then no call of it returns."""
        self.played: list[float] = []
        """How loud each block was that the loudspeaker took."""
        self.closed = 0
        """How many streams of the loudspeaker were closed."""
        self.looked = 0
        self.opened: list[str] = []
        self.said: NDArray[np.float32] = np.zeros(0, np.float32)
        self._known = [*names]

    @property
    def default(self) -> Any:
        return type("Default", (), {"device": (0 if self._known else -1, -1)})()

    def query_devices(self, *which: Any) -> Any:
        if which:
            return {"default_samplerate": float(RATE)}
        return [
            {
                "name": name,
                "index": index,
                "max_input_channels": 1,
                "max_output_channels": 0,
                "default_samplerate": float(RATE),
            }
            for index, name in enumerate(self._known)
        ]

    def _terminate(self) -> None:
        self._known = []

    def _initialize(self) -> None:
        self.looked += 1
        self._known = [*self.present]

    def InputStream(self, **wanted: Any) -> Stream:  # noqa: N802  (the library's own name)
        name = self._known[wanted["device"]]
        if self.taken or name not in self.present:
            raise self.PortAudioError("Device unavailable [PaErrorCode -9985]")
        self.opened.append(name)
        return Stream(self, name, wanted["callback"], wanted["blocksize"])

    def OutputStream(self, **wanted: Any) -> Output:  # noqa: N802  (the library's own name)
        if self.loudspeaker == "gone":
            raise self.PortAudioError("Device unavailable [PaErrorCode -9985]")
        return Output(self)

    def next_block(self, size: int) -> NDArray[np.float32]:
        """Return what the microphone hears next: what is said to it, or the hiss of the room."""
        if self.muted:
            return np.zeros((size, 1), np.float32)
        said, self.said = self.said[:size], self.said[size:]
        hiss = np.random.default_rng().normal(0, 0.001, size).astype(np.float32)
        return (hiss + np.pad(said, (0, size - len(said))))[:, None]


@dataclass
class Stream:
    """Calls back as long as the microphone is there, and falls silent without a word where it is not."""

    sound: Sound
    name: str
    callback: Callable[..., None]
    size: int
    closed: bool = False

    def start(self) -> None:
        threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        due = time.monotonic()
        while not self.closed and self.name in self.sound.present and not self.sound.taken:
            self.callback(self.sound.next_block(self.size), self.size, None, 0)
            due += self.size / RATE / self.sound.speed
            time.sleep(max(0.0, due - time.monotonic()))

    def close(self, *, ignore_errors: bool = True) -> None:
        self.closed = True


@dataclass
class Output:
    """Takes sound as fast as it comes, while the loudspeaker is there."""

    sound: Sound
    latency: float = 0.0

    def start(self) -> None:
        self.write(np.zeros(0, np.float32))

    def write(self, samples: NDArray[np.float32]) -> None:
        while self.sound.loudspeaker == "hangs":
            time.sleep(0.01)
        if self.sound.loudspeaker == "gone":
            raise self.sound.PortAudioError("Unanticipated host error [PaErrorCode -9999]")
        self.sound.played.append(float(np.abs(samples).max(initial=0.0)))

    def abort(self) -> None:
        pass

    def close(self, *, ignore_errors: bool = True) -> None:
        self.sound.closed += 1


class Writer:
    """Writes down a fixed text, because hearing is not what is tested here."""

    name = engine = "writer"

    def __init__(self, text: str) -> None:
        self.text, self.asked = text, 0

    def hear(self, utterance: Utterance, phrases: Sequence[Phrase]) -> Heard:
        self.asked += 1
        return Heard((Hypothesis(self.text, -0.1, self.name),))

    def close(self) -> None:
        """Nothing to let go."""


@dataclass
class Said:
    """What the assistant said, and when."""

    turns: list[tuple[float, str]] = field(default_factory=list)
    began: float = field(default_factory=time.monotonic)

    @property
    def texts(self) -> list[str]:
        return [text for _, text in self.turns]

    def wait(self, number: int, seconds: float = 30.0) -> float:
        """Wait until so many things were said; return when the last of them was, from now [second]."""
        began = time.monotonic()
        while len(self.turns) < number:
            if time.monotonic() - began > seconds:
                raise TimeoutError(f"only {self.texts} within {seconds} s")
            time.sleep(0.02)
        return self.turns[number - 1][0] - (began - self.began)


def beside(desk: Desk, sound: Sound, script: Callable[[Said], None], name: str | None = None) -> Said:
    """Listen with a microphone while a script plays with it in another thread, until it ends; return what was said."""
    said, faults = Said(), []
    attempts = count()
    source = KeptSource(lambda: Microphone(name, look_again=next(attempts) > 0))

    def play() -> None:
        try:
            script(said)
        except BaseException as fault:
            faults.append(fault)
        finally:
            source.close()

    microphone_of, microphone._sounddevice = microphone._sounddevice, lambda: sound  # type: ignore[assignment]
    playing = threading.Thread(target=play, daemon=True)
    playing.start()
    try:
        for turn in listen(desk, source, SileroVoice(), Segmenter()):
            said.turns.append((time.monotonic() - said.began, turn.reply.say))
    finally:
        playing.join(timeout=5)
        microphone._sounddevice = microphone_of
    if faults:
        raise faults[0]
    return said
