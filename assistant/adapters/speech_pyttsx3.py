"""Text to speech through pyttsx3 in a child process. Only renders; the player plays.

The child is killed and started anew when it is silent for too long; two failures in a row are a `DeviceError`.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import OrderedDict, deque
from contextlib import suppress
from itertools import count
from pathlib import Path
from queue import Empty, Queue

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.hearing.sound.levels import is_mute
from assistant.core.types import RATE

KEPT = 600
"""Length of the renderings that are kept [second], about 38 megabytes; a job repeats itself much."""

LONGEST = 300
"""Longest piece of text that is asked for at once [character]; longer ones are cut between sentences or words."""

FASTEST = 60
"""More letters a second than any speech at a rate this program uses: less sound than that lost some of them."""

SLOWEST = 3.0
"""More time than any character takes, a symbol spoken by its name included [second]."""

_POLL = 0.005
"""How often the growing file is looked at [second]."""

_SENTENCE = re.compile(rf"(?s)(.{{1,{LONGEST}}}(?<=[.!?;:])|.{{1,{LONGEST}}})(?:\s+|$)|(.{{{LONGEST}}})")
_SIZES = {b"RIFF": "little", b"FORM": "big"}


class Pyttsx3Speech:
    """Implements `ports.Speech`. `prepare` works in a thread of its own; `render` breaks in on it where it hangs."""

    name = "pyttsx3"

    def __init__(self, rate: int = 145, voice: str = "", limit: float = 2.5) -> None:
        """Take the words a minute, the voice's name as pyttsx3 knows it, and the patience with one attempt [second].

        145 words a minute leave time for numbers: a speech synthesiser's manual advises 120 for what is copied
        down and 160 as moderate (DECtalk reference manual). Two attempts make the 5 seconds of the port.
        """
        self._rate, self._voice, self._limit = rate, voice, limit
        self._kept: OrderedDict[str, NDArray[np.float32]] = OrderedDict()
        self._child: _Child | None = None
        self._lock = threading.Lock()
        self._folder = tempfile.TemporaryDirectory(prefix="speech-", ignore_cleanup_errors=True)
        self._numbers = count()
        self._later: deque[str] = deque(maxlen=8)
        self._ahead: threading.Thread | None = None
        self._closed = False

    def warm_up(self) -> None:
        """Start the child without waiting for it, so that the first words come as fast as the next."""
        with suppress(OSError), self._lock:
            self._child = self._child or self._start_child()

    def render(self, text: str) -> NDArray[np.float32]:
        """Return the spoken text; DeviceError after two failures in a row."""
        if not self._lock.acquire(timeout=self._limit / 2):
            self._kill()  # what is rendered ahead hangs; it then fails at once, and lets go
            self._lock.acquire()
        try:
            return self._render(text, attempts=2)
        finally:
            self._lock.release()

    def prepare(self, text: str) -> None:
        """Render ahead; the oldest of many wishes are dropped."""
        if text in self._kept:
            return
        self._later.append(text)
        if not (self._ahead and self._ahead.is_alive()):
            self._ahead = threading.Thread(target=self._work_ahead, daemon=True)
            self._ahead.start()

    def _work_ahead(self) -> None:
        while self._later and not self._closed:
            with suppress(DeviceError), self._lock:
                self._render(self._later.popleft(), attempts=1)

    def _render(self, text: str, attempts: int) -> NDArray[np.float32]:
        if text not in self._kept:
            pieces = [self._piece(piece, attempts) for piece in _pieces(text)]
            sound = np.concatenate(pieces) if pieces else np.zeros(0, np.float32)
            sound.setflags(write=False)
            self._kept[text] = sound
        self._kept.move_to_end(text)
        while len(self._kept) > 1 and sum(map(len, self._kept.values())) > KEPT * RATE:
            self._kept.popitem(last=False)
        return self._kept[text]

    def _piece(self, text: str, attempts: int) -> NDArray[np.float32]:
        fault: Exception | None = None
        for _ in range(attempts):
            if self._closed:
                raise DeviceError("the speech engine was closed; the text goes on without a voice")
            try:
                return self._ask(text)
            except (OSError, TimeoutError) as error:
                fault = error
                self._end_child()
        raise DeviceError(f"the speech engine fails ({fault}); the text goes on without a voice", say="No voice.")

    def _ask(self, text: str) -> NDArray[np.float32]:
        file = Path(self._folder.name) / f"{next(self._numbers)}.wav"  # never twice: a late answer can't be mistaken
        self._child = self._child or self._start_child()
        deadline = time.monotonic() + self._limit
        self._child.ask({"text": text, "file": str(file), "rate": self._rate, "voice": self._voice}, deadline)
        sound = _whole(file, deadline)
        file.unlink(missing_ok=True)
        seconds = len(sound) / RATE
        if not sum(c.isascii() and c.isalnum() for c in text) / FASTEST <= seconds <= SLOWEST * (1 + len(text)):
            raise OSError(f"{seconds:.2f} seconds of sound for {len(text)} characters")
        if is_mute(sound):
            raise OSError("only silence in its sound file")
        return sound

    def _start_child(self) -> _Child:
        return _Child(self._folder.name)

    def _kill(self) -> None:
        if child := self._child:
            child.kill()

    def _end_child(self) -> None:
        if self._child:
            self._child.end()
            self._child = None

    def close(self) -> None:
        """End the child process and remove its folder; may be called twice."""
        self._closed = True
        self._kill()
        with self._lock:
            self._end_child()
        if self._ahead:
            self._ahead.join(timeout=self._limit)
        self._folder.cleanup()


class _Child(subprocess.Popen[str]):
    """The process that renders. It is named by its file, so that the rest of the program is not loaded with it."""

    def __init__(self, folder: str) -> None:
        program = Path(__file__).with_name("speech_child.py")
        super().__init__(
            [sys.executable, "-P", str(program), folder],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        self._answers: Queue[str] = Queue()
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        """Hand on the answers, and an empty one at the end."""
        assert self.stdout
        with suppress(ValueError, OSError):
            for line in self.stdout:
                self._answers.put(line)
        self._answers.put("")

    def ask(self, request: dict[str, object], deadline: float) -> None:
        """Send a request and wait for its answer; OSError for a fault, TimeoutError for silence."""
        assert self.stdin
        self.stdin.write(json.dumps(request) + "\n")
        self.stdin.flush()
        try:
            answer = self._answers.get(timeout=max(0.01, deadline - time.monotonic()))
        except Empty as error:
            raise TimeoutError("no answer from its process") from error
        if not answer:
            raise OSError("its process ended")
        if fault := json.loads(answer).get("fault"):
            raise OSError(fault)

    def end(self) -> None:
        """Kill the process and let its pipes go."""
        self.kill()
        self.wait()
        for pipe in (self.stdin, self.stdout):
            with suppress(OSError):
                if pipe:
                    pipe.close()


def _pieces(text: str) -> list[str]:
    """Return what can be spoken, on one line each and in pieces that are not too long; empty for signs alone."""
    line = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    pieces = (match.group().strip() for match in _SENTENCE.finditer(line))
    return [piece for piece in pieces if any(sign.isalnum() for sign in piece)]


def _whole(file: Path, deadline: float) -> NDArray[np.float32]:
    """Return the sound of a file once it is there as a whole: the engine may answer before it has written all."""
    while not _is_whole(file):
        if time.monotonic() > deadline:
            raise TimeoutError("its sound file stays incomplete")
        time.sleep(_POLL)
    try:
        samples, rate = soundfile.read(file, dtype="float32", always_2d=True)
    except soundfile.SoundFileError as error:
        raise OSError(f"its sound file can't be read: {error}") from error
    resampled = np.asarray(soxr.resample(samples.mean(axis=1), rate, RATE), dtype=np.float32)
    return np.clip(resampled, -1.0, 1.0)  # the engine speaks at full scale, and a resampler overshoots


def _is_whole(file: Path) -> bool:
    """Say whether a WAV or AIFF file is as long as it claims: a sound library would quietly believe the shorter."""
    with suppress(OSError):
        content = file.read_bytes()
        order = _SIZES.get(content[:4])
        claimed = 8 + int.from_bytes(content[4:8], "little" if order == "little" else "big")
        return order is not None and 44 < claimed <= len(content)
    return False
