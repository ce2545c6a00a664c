"""One writer a job: a lock of the operating system, which ends with the process that holds it, however that ends."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from assistant.core.errors import Busy


class Locks:
    """The locks of jobs in a data folder, one file each; nothing is ever written to them."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._held: dict[str, FileLock] = {}

    def hold(self, job: str) -> None:
        """Hold a job until `close`; Busy where another run holds it, OSError where no lock can be made."""
        if job in self._held:
            return
        with self._door():
            lock = self._lock(job)
            try:
                lock.acquire()
            except Timeout:
                raise _busy(job) from None
        self._held[job] = lock

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Keep other runs from taking a job; Busy where one holds one."""
        with self._door():
            for file in sorted(self._folder.glob("*.lock")):
                if file.stem in self._held or file.stem == _DOOR:
                    continue
                try:
                    with self._lock(file.stem):
                        pass
                except Timeout:
                    raise _busy(file.stem) from None
            yield

    def close(self) -> None:
        """Let all go; may be called twice."""
        for lock in self._held.values():
            with suppress(OSError):
                lock.release()
        self._held.clear()

    def _door(self) -> FileLock:
        return self._lock(_DOOR, wait=5.0)

    def _lock(self, name: str, wait: float = 0.0) -> FileLock:
        self._folder.mkdir(parents=True, exist_ok=True)
        file = self._folder / f"{name}.lock"
        # never a lock that is a mere file: that would outlast a process that is killed
        return FileLock(file, timeout=wait, thread_local=False, fallback_to_soft=False, preserve_lock_file=True)


_DOOR = "taking"
"""Name of the lock that is held while another is taken."""


def _busy(job: str) -> Busy:
    return Busy(
        f"the job {job} is open in another run of this program. Watch it with: assistant journal --job {job} --follow. "
        "Begin or take up another job beside it, or end that run first",
        say="This job is open in another run. See the screen.",
    )
