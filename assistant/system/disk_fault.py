"""Why something can't be written, and what helps against that: a full disk wants space, a read-only one does not."""

from __future__ import annotations

import errno
import sqlite3
from enum import Enum


class DiskFault(Enum):
    """A cause: what is the case and what to do, for the ear; and what to do for the eye."""

    FULL = "The disk is full.", "Free some space.", "Free some space"
    READ_ONLY = "It is read-only.", "Let it be written to.", "Let the disk, or the file, be written to"
    DENIED = "I have no right to.", "Give me that right.", "Let the folder and its files be written by you"
    HELD = "Another program holds it.", "End that program.", "End the other program that holds it"
    BROKEN = (
        "The disk reports an error.",
        "Check its plug. Copy your data.",
        "Check the disk and its plug, and copy the data folder to another disk",
    )
    GONE = "Its folder is gone.", "Bring it back.", "Bring the folder, or its disk, back"
    OTHER = "", "Look at the screen.", "Look whether the disk is there and whole"

    def __init__(self, why: str, do: str, shown: str) -> None:
        self.why, self.do, self.shown = why, do, shown


_BY_NUMBER = {
    DiskFault.FULL: ("ENOSPC", "EDQUOT"),
    DiskFault.READ_ONLY: ("EROFS",),
    DiskFault.DENIED: ("EACCES", "EPERM"),
    DiskFault.HELD: ("EAGAIN", "EBUSY", "ETXTBSY", "EDEADLK"),
    DiskFault.BROKEN: ("EIO", "ENXIO", "ENODEV"),
    DiskFault.GONE: ("ENOENT", "ENOTDIR", "ESTALE"),
}
"""Error numbers of the operating system by their names, for not every system has all."""
_OF_SYSTEM = {
    getattr(errno, name): fault for fault, names in _BY_NUMBER.items() for name in names if hasattr(errno, name)
}
_OF_SQLITE = {
    sqlite3.SQLITE_FULL: DiskFault.FULL,
    sqlite3.SQLITE_READONLY: DiskFault.READ_ONLY,
    sqlite3.SQLITE_PERM: DiskFault.DENIED,
    sqlite3.SQLITE_CANTOPEN: DiskFault.DENIED,
    sqlite3.SQLITE_BUSY: DiskFault.HELD,
    sqlite3.SQLITE_LOCKED: DiskFault.HELD,
    sqlite3.SQLITE_IOERR: DiskFault.BROKEN,
}
"""SQLite tells its own codes, and of most errors of the system no more than that there was one."""
_GONE = (sqlite3.SQLITE_READONLY_DBMOVED, sqlite3.SQLITE_IOERR_DELETE_NOENT)


def disk_fault(error: BaseException | None) -> DiskFault:
    """Return what an error of the system or of SQLite, or whatever it became the cause of, says of the disk."""
    while error is not None:
        code = getattr(error, "sqlite_errorcode", None)
        if code in _GONE:
            return DiskFault.GONE
        if code is not None and code & 0xFF in _OF_SQLITE:
            return _OF_SQLITE[code & 0xFF]
        if isinstance(error, OSError) and error.errno in _OF_SYSTEM:
            return _OF_SYSTEM[error.errno]
        error = error.__cause__
    return DiskFault.OTHER
