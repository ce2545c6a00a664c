"""How the program ends where its surroundings fail it: a signal to stop, an output that nobody takes any more.

A job loses nothing by it, for each fact is on disk before it is spoken; what is owed is one line and an exit code.
"""

from __future__ import annotations

import os
import signal
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import TextIO

USAGE, FAILED, STOPPED = 2, 1, 130
"""Exit codes: words of the command are wrong; something failed; stopped by the person."""
SIGNALS = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""Told to stop; the terminal went away (not on Windows); Ctrl-Break (on Windows alone)."""
KEPT = "The job is kept. Go on with: assistant run --resume"
KEPT_CAR = "What you told is kept. Go on with: assistant vehicle new"


class Stopped(BaseException):
    """Somebody, or the system, told the program to stop. Like KeyboardInterrupt it is no error."""

    def __init__(self, name: str, number: int) -> None:
        super().__init__(name)
        self.code = 128 + number


class OutputLost(Exception):  # noqa: N818 — the shortest true name
    """What is shown can't be written any more: a closed pipe, a full disk, a terminal that is gone."""


class _Held:
    """Whether something is being done that no signal may break off, and what came meanwhile."""

    depth = 0
    came: int | None = None


@contextmanager
def unbroken() -> Iterator[None]:
    """Let no signal to stop break off what is done within; it stops the program behind that."""
    _Held.depth += 1
    try:
        yield
    finally:
        _Held.depth -= 1
        if not _Held.depth and (number := _Held.came) is not None:
            _Held.came = None
            _stop(number, None)


def heed_signals() -> None:
    """Let a signal to stop raise `Stopped`; the next one of its kind ends the program at once."""
    for name in SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:  # what is ignored stays so (nohup)
            signal.signal(number, _stop)
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _stop)


def _stop(number: int, frame: object) -> None:
    if _Held.depth:
        _Held.came = number
        return
    if number == signal.SIGINT:
        raise KeyboardInterrupt
    signal.signal(number, signal.SIG_DFL)
    raise Stopped(signal.Signals(number).name, number)


def write_whatever_comes() -> None:
    """Let the output write letters that its encoding lacks in another way, instead of failing over them."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def put(text: str, stream: TextIO | None) -> None:
    """Write a line; OutputLost where it can't be written. A stream that was closed before the start takes nothing."""
    if stream is None:
        return
    try:
        print(text, file=stream, flush=True)
    except (OSError, ValueError) as error:  # ValueError: the stream was closed
        raise OutputLost(getattr(error, "strerror", None) or str(error)) from error


def _silence(stream: TextIO | None) -> None:
    """Let what is left in a broken stream go nowhere: Python would try to write it once more, and complain."""
    with suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())  # type: ignore[union-attr]
        os.close(nowhere)


def flushed(code: int) -> int:
    """Return the exit code once all is written: 1 where it could not be, and nothing else went wrong."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream:
                stream.flush()
        except (OSError, ValueError):
            _silence(stream)
            code = code or 1
    return code


def keep_trace(folder: Path, at: datetime) -> str:
    """Keep where the program failed by its own fault, and return where that stands; empty where it can't be kept."""
    file = folder / "faults.txt"
    try:
        with file.open("a", encoding="utf-8", errors="backslashreplace") as kept:
            kept.write(f"{at.isoformat(timespec='seconds')}\n{traceback.format_exc()}\n")
    except (OSError, ValueError):
        return ""
    return str(file)
