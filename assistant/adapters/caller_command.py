"""Calls for help by a command of the owner's, which no shell sees. Each call is a process that can be ended.

The command gets one more argument than the owner wrote: a sentence for whoever is called. It has no input, and a
process group of its own, so that its children end with it, and Ctrl-C does not reach it. A child that makes itself
a group of its own is out of reach; on Windows all children are.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from threading import Condition, Event, Thread, current_thread
from typing import IO

from assistant.core.data.settings import LIMIT
from assistant.core.quantities.saying import say_duration, say_integer
from assistant.ports import Called

TRIAL = "Trial call from the workshop assistant. All is well."
HELP = "Help is needed at the car. Nobody answers, or someone called for help."

KEPT = 4096
"""How much is kept of what a command writes; the rest is read and dropped, so that it never waits to write [byte]."""
SHORT = 60
"""How much is told of a line that it wrote [character]."""
LOOK = 0.02
"""How often it is looked whether a command has ended [second]."""
LAST_WORDS = 0.5
"""How long is waited for what a command wrote, once it has ended: a child that it left may hold on to it [second]."""
ENDING = 2.0
"""How long is waited for a process that was killed [second]."""


class CommandCaller:
    """Implements `ports.Caller`. A thread for each call waits for its process; nothing else is done there."""

    def __init__(self, words: Sequence[str], limit: float = LIMIT) -> None:
        """Take the command word by word, and how long a call may take [second]."""
        self._words = (str(Path(words[0]).expanduser()) if words[0].startswith("~") else words[0], *words[1:])
        self._limit = limit
        self._change = Condition()
        self._running: list[Thread] = []
        self._ended: deque[Called] = deque()
        self._closing = Event()

    def call(self, *, trial: bool) -> None:
        """Begin to call, and return at once; calls run beside each other."""
        if self._closing.is_set():
            return
        thread = Thread(target=self._call, args=(trial,), name="call for help", daemon=True)
        with self._change:
            self._running.append(thread)
        try:
            thread.start()
        except RuntimeError:
            self._tell(thread, Called(trial, "no thread could be started for it"))

    def outcome(self) -> Called | None:
        """Return what came of the call that ended first of those not told yet; None where there is none."""
        with self._change:
            return self._ended.popleft() if self._ended else None

    def wait(self) -> bool:
        """Return once a call has ended, or none runs; whether there is an outcome."""
        with self._change:
            self._change.wait_for(lambda: self._ended or not self._running)
            return bool(self._ended)

    def close(self) -> None:
        """End what still runs; may be called twice. What came of it is not told."""
        self._closing.set()
        with self._change:
            running = tuple(self._running)
        for thread in running:
            thread.join(timeout=LAST_WORDS + 2 * ENDING)

    def _call(self, trial: bool) -> None:
        try:
            fault = self._fault_of(TRIAL if trial else HELP)
        except Exception as error:  # whatever it is, the path has to hear that nobody was called
            fault = f"the program itself failed, {type(error).__name__}"
        self._tell(current_thread(), Called(trial, fault))

    def _tell(self, thread: Thread, called: Called) -> None:
        with self._change:
            self._running.remove(thread)
            self._ended.append(called)
            self._change.notify_all()

    def _fault_of(self, sentence: str) -> str:
        """Run the command to its end and return why it failed, in words; empty where it did not."""
        try:
            process = subprocess.Popen(
                [*self._words, sentence], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                start_new_session=True,
            )  # fmt: skip
        except FileNotFoundError:
            return "the command was not found"
        except PermissionError:
            return "the command may not be run"
        except (OSError, ValueError):
            return "the command can't be run"
        assert process.stdout and process.stderr
        readers = [_Reader(process.stderr), _Reader(process.stdout)]
        in_time = self._ends_in_time(process)
        for reader in readers:
            reader.join(timeout=LAST_WORDS)
        if not in_time:
            return f"it took longer than {say_duration(self._limit)}"
        return _fault(process.returncode, next((line for line in map(_Reader.first_line, readers) if line), ""))

    def _ends_in_time(self, process: subprocess.Popen[bytes]) -> bool:
        """Wait for a process; kill it with its children where it takes too long, or the program ends."""
        until = time.monotonic() + self._limit
        while process.poll() is None:
            if time.monotonic() >= until or self._closing.wait(LOOK):
                _kill(process)
                return False
        return True


class _Reader(Thread):
    """Reads all that a process writes, and keeps the beginning of it."""

    def __init__(self, pipe: IO[bytes]) -> None:
        super().__init__(name="reads what a call for help writes", daemon=True)
        self._pipe, self._kept = pipe, b""
        self.start()

    def run(self) -> None:
        with self._pipe, suppress(OSError):
            while piece := os.read(self._pipe.fileno(), KEPT):
                self._kept += piece[: KEPT - len(self._kept)]

    def first_line(self) -> str:
        """Return the first line that is not empty, short enough to be said."""
        lines = ("".join(sign if sign.isprintable() else " " for sign in line)
                 for line in self._kept.decode(errors="ignore").splitlines())  # fmt: skip
        words = next((line.split() for line in lines if line.strip()), [])
        while len(" ".join(words)) > SHORT and len(words) > 1:
            words.pop()
        return " ".join(words)[:SHORT].rstrip(" .:;,!?")


def _fault(code: int, line: str) -> str:
    """Return why a process that ended by itself failed; it has not where its code is 0."""
    if code == 0:
        return ""
    told = f"it ended with code {say_integer(code)}" if code > 0 else f"it was ended by signal {say_integer(-code)}"
    return f"{told}: {line}" if line else told


def _kill(process: subprocess.Popen[bytes]) -> None:
    """End a process that has not been waited for yet, so that its number is still its own, with its children."""
    if sys.platform == "win32":
        process.kill()
    else:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    with suppress(subprocess.TimeoutExpired):
        process.wait(timeout=ENDING)
