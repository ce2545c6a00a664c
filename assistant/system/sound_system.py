"""Looks for sound devices anew. PortAudio knows only those that were there when it began, and beginning anew ends every
stream: so who holds one is asked first, and nothing is done while one is needed."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from assistant.core.errors import DeviceError

PATIENCE = 3.0
"""So long is it waited for while somebody else looks for devices [second]."""

_lock = threading.RLock()
_holders: dict[object, Callable[[], bool]] = {}


def hold(holder: object, let_go: Callable[[], bool]) -> None:
    """Note that a holder has a stream; `let_go` closes it and says yes, or says no while it is needed."""
    with undisturbed():
        _holders[holder] = let_go


def release(holder: object) -> None:
    """Note that a holder has closed its stream."""
    with undisturbed():
        _holders.pop(holder, None)


def rescan(library: Any) -> bool:
    """Let the library `sounddevice` look which devices there are now, and return whether it could."""
    with undisturbed():
        if not all(let_go() for let_go in _holders.values()):
            return False
        _holders.clear()
        library._terminate()  # the library names no other way
        library._initialize()
        return True


@contextmanager
def undisturbed() -> Iterator[None]:
    """While this lasts nobody looks for devices; `DeviceError` where somebody does, and does not come to an end."""
    if not _lock.acquire(timeout=PATIENCE):
        raise DeviceError("the sound system does not answer", say="The sound system does not answer.")
    try:
        yield
    finally:
        _lock.release()
