"""Brings back what failed, beside the talk: tries in a thread of its own, after pauses that grow, and delays nobody."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Generic, TypeVar

from assistant.core.errors import DeviceError
from assistant.core.job.pauses import Pauses

Found = TypeVar("Found")

HELD_BACK = 0.1
"""How often it is asked whether an attempt may begin [second]."""


class Revival(Generic[Found]):
    """Tries until it succeeds or is given up."""

    def __init__(
        self,
        attempt: Callable[[], Found],
        discard: Callable[[Found], None] = lambda found: None,
        pauses: Pauses | None = None,
        may_begin: Callable[[], bool] = lambda: True,
    ) -> None:
        """Begin at once, or after the pause that `pauses` are at.

        `attempt` is called in another thread, and raises `DeviceError` where it fails; `discard` is given what came too
        late. While `may_begin` says no, no attempt is begun.
        """
        self.fault: DeviceError | None = None
        """Why the last attempt failed."""
        self._attempt, self._discard, self._may_begin = attempt, discard, may_begin
        self._pauses = pauses or Pauses()
        self._given_up = threading.Event()
        self._lock = threading.Lock()
        self._found: list[Found] = []
        threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        while not self._given_up.wait(self._pauses.wait(time.monotonic())):
            if not self._may_begin():
                self._given_up.wait(HELD_BACK)
                continue
            try:
                self._keep(self._attempt())
            except DeviceError as fault:
                self.fault = fault
                self._pauses = self._pauses.failed(time.monotonic())
            else:
                return

    def _keep(self, found: Found) -> None:
        with self._lock:
            if not self._given_up.is_set():
                self._found.append(found)
                return
        self._discard(found)

    def take(self) -> Found | None:
        """Return what came of it, once; None where nothing did yet."""
        with self._lock:
            return self._found.pop() if self._found else None

    def give_up(self) -> None:
        """Try no more, and discard what was not taken; what is just being tried ends by itself."""
        with self._lock:
            self._given_up.set()
            found, self._found = self._found, []
        for one in found:
            self._discard(one)
