"""Text to speech through pyttsx3 in a child process. Only renders; the player plays.

The child is killed and started anew when it is silent for too long; two failures in a row are a `DeviceError`.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import threading
import time
from collections import OrderedDict
from contextlib import suppress
from pathlib import Path
from queue import Empty, Queue

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.types import RATE

KEPT = 64
"""Renderings that are kept; a job repeats itself much."""

_POLL = 0.005
"""How often the growing file is looked at [second]."""


class Pyttsx3Speech:
    """Implements `ports.Speech`. `prepare` works in a thread of its own and never delays what is asked for now."""

    name = "pyttsx3"

    def __init__(self, rate: int = 145, voice: str = "", limit: float = 5.0) -> None:
        """Take the words a minute, the voice's name as pyttsx3 knows it, and the patience with the child [second].

        145 words a minute leave time for numbers: a speech synthesiser's manual advises 120 for what is copied
        down and 160 as moderate (DECtalk reference manual).
        """
        self._rate, self._voice, self._limit = rate, voice, limit
        self._kept: OrderedDict[str, NDArray[np.float32]] = OrderedDict()
        self._child: subprocess.Popen[str] | None = None
        self._answers: Queue[str] = Queue()
        self._lock = threading.Lock()
        self._folder = tempfile.TemporaryDirectory(prefix="speech-")
        self._ahead: threading.Thread | None = None

    def render(self, text: str) -> NDArray[np.float32]:
        """Return the spoken text; DeviceError after two failures in a row."""
        with self._lock:
            return self._render(text)

    def prepare(self, text: str) -> None:
        """Render ahead; does nothing where the text is known, or the thread is still busy."""
        if not text or text in self._kept or (self._ahead and self._ahead.is_alive()):
            return
        self._ahead = threading.Thread(target=self._quietly, args=(text,), daemon=True)
        self._ahead.start()

    def _quietly(self, text: str) -> None:
        with suppress(DeviceError):
            self.render(text)

    def _render(self, text: str) -> NDArray[np.float32]:
        if not text.strip():
            return np.zeros(0, np.float32)
        if text in self._kept:
            self._kept.move_to_end(text)
            return self._kept[text]
        try:
            sound = self._ask(text)
        except (OSError, TimeoutError):
            self._end_child()
            try:
                sound = self._ask(text)
            except (OSError, TimeoutError) as error:
                self._end_child()
                raise DeviceError(f"the speech engine fails ({error}); the text goes on without a voice") from error
        self._kept[text] = sound
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return sound

    def _ask(self, text: str) -> NDArray[np.float32]:
        file = Path(self._folder.name) / "spoken.wav"
        file.unlink(missing_ok=True)
        child = self._child or self._start_child()
        assert child.stdin
        request = {"text": text, "file": str(file), "rate": self._rate, "voice": self._voice}
        child.stdin.write(json.dumps(request) + "\n")
        child.stdin.flush()
        deadline = time.monotonic() + self._limit + len(text) / 400
        try:
            answer = self._answers.get(timeout=max(0.01, deadline - time.monotonic()))
        except Empty as error:
            raise TimeoutError("no answer from its process") from error
        if not answer:
            raise OSError("its process ended")
        return _whole(file, deadline)

    def _start_child(self) -> subprocess.Popen[str]:
        self._answers = Queue()
        self._child = subprocess.Popen(
            [sys.executable, "-m", "assistant.adapters.speech_child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
        threading.Thread(target=_listen, args=(self._child, self._answers), daemon=True).start()
        return self._child

    def _end_child(self) -> None:
        if self._child:
            self._child.kill()
            self._child.wait()
            for pipe in (self._child.stdin, self._child.stdout):
                with suppress(OSError):
                    if pipe:
                        pipe.close()
            self._child = None

    def close(self) -> None:
        """End the child process and remove its folder; may be called twice."""
        self._end_child()
        if self._ahead:
            self._ahead.join(timeout=self._limit)
        self._end_child()
        self._folder.cleanup()


def _listen(child: subprocess.Popen[str], answers: Queue[str]) -> None:
    """Hand on the child's answers, and an empty one at its end."""
    assert child.stdout
    with suppress(ValueError, OSError):
        for line in child.stdout:
            answers.put(line)
    answers.put("")


def _whole(file: Path, deadline: float) -> NDArray[np.float32]:
    """Return the sound of a file once it is there as a whole: the engine may answer before it has written all."""
    while True:
        with suppress(soundfile.SoundFileError, OSError):
            size = file.stat().st_size
            with soundfile.SoundFile(file) as sound:
                frames, rate, bytes_each = sound.frames, sound.samplerate, 2 * sound.channels
                if frames and size >= frames * bytes_each + 44:
                    samples = sound.read(dtype="float32", always_2d=True).mean(axis=1)
                    return np.asarray(soxr.resample(samples, rate, RATE), dtype=np.float32)
        if time.monotonic() > deadline:
            raise TimeoutError("its sound file stays incomplete")
        time.sleep(_POLL)
