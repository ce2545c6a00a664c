"""Watches over an engine while nothing is to be heard: one that died or hangs is known before it is needed."""

from __future__ import annotations

import threading
from collections.abc import Callable

from assistant.core.errors import DeviceError
from assistant.ports import CheckedRecogniser

EVERY = 0.3
"""Pause between two checks [second]: with the time after which a child counts as hung, less than two seconds."""


class Watch:
    """Checks one engine in a thread of its own, until it fails; then again once it is told to go on."""

    def __init__(self, engine: CheckedRecogniser, may_check: Callable[[], bool]) -> None:
        """Begin; while `may_check` says no, it leaves the engine alone."""
        self.engine = engine
        self.fault: DeviceError | None = None
        """Why it failed; None while it answers. Setting it back lets the watch go on."""
        self._may_check = may_check
        self._ended = threading.Event()
        threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        while not self._ended.wait(EVERY):
            if self.fault or not self._may_check():
                continue
            try:
                self.engine.check()
            except DeviceError as fault:
                self.fault = fault
        self.engine.close()  # the check may have started it anew while it was closed

    def close(self) -> None:
        """Check no more; close the engine after that."""
        self._ended.set()
