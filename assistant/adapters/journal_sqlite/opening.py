"""Opens the file: makes a new one, lifts an older form, mends a damaged one, and refuses what is not ours to touch.

What is lifted or mended is copied aside first, byte for byte. A file of a newer version, of another program, or of no
database at all is left as it is.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import AbstractContextManager, closing
from pathlib import Path

from assistant.adapters.journal_sqlite import mending, tables
from assistant.adapters.journal_sqlite.lifting import lift
from assistant.core.errors import DataError

Alone = Callable[[], AbstractContextManager[None]]
"""Keeps other runs of the program away; raises where one has a job open."""
LEAST = 512
"""The least size of a database [byte]."""
ELSEWHERE = "Nothing in it was changed. Name another folder with --data"


def open_base(path: Path, alone: Alone) -> sqlite3.Connection:
    """Return a connection to the journal in its present form.

    A file is mended only alone. Raises DataError for a file that must not be touched or can't be read, DeviceError
    where another run stands in the way, OSError or sqlite3.Error.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.is_file() and path.stat().st_size:
        _look(path, alone)
    base = tables.connect(path)
    try:
        # EXTRA also syncs the folder after the rollback journal is gone; fullfsync reaches the platter on macOS.
        base.execute("pragma synchronous = EXTRA")
        base.execute("pragma fullfsync = 1")
        if _version(base) == (0, 0) or base.execute("select count(*) from sqlite_master").fetchone()[0] == 0:
            _make_or_lift(base, path)
    except BaseException:
        base.close()
        raise
    return base


def open_reader(path: Path) -> sqlite3.Connection:
    """Return a connection that writes nothing; DataError for a file that is not of the present form."""
    base = tables.connect(path, readonly=True)
    if _version(base) != (tables.MARK, tables.VERSION):
        base.close()
        raise DataError(
            f"{path} is no journal of the present form. `assistant journal` lifts an older one, or says why"
        )
    return base


def _look(path: Path, alone: Alone) -> None:
    """Look at a file that is there, before anything is written to it: is it ours, and whole?"""
    if path.stat().st_size < LEAST:  # SQLite takes such a file for an empty one
        raise DataError(f"{path} is no journal. {ELSEWHERE}")
    with closing(tables.connect(path)) as base:
        try:
            mark, version = _version(base)
            names = {name for (name,) in base.execute("select name from sqlite_master where type = 'table'")}
            fault = base.execute("pragma quick_check(1)").fetchone()[0]
            if fault == "ok" and version == tables.VERSION and not tables.are_there(base):
                fault = "its tables are not those of a journal"
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):  # locked, full, unreadable: no fault of what is in it
                raise
            fault, mark, version, names = str(error), tables.MARK, tables.VERSION, {"facts"}
    if mark not in (0, tables.MARK) or (mark == 0 and names and "facts" not in names):
        raise DataError(f"{path} is a database of another program. {ELSEWHERE}")
    if version > tables.VERSION:
        raise DataError(f"{path} was written by a newer version of this program. {ELSEWHERE}, or use the newer version")
    if fault != "ok":
        with alone():
            mending.mend(path, copy_aside(path, "damaged"), fault, ELSEWHERE)


def _version(base: sqlite3.Connection) -> tuple[int, int]:
    mark: int = base.execute("pragma application_id").fetchone()[0]
    version: int = base.execute("pragma user_version").fetchone()[0]
    return mark, version


def _make_or_lift(base: sqlite3.Connection, path: Path) -> None:
    base.execute("begin immediate")
    try:
        if _version(base) == (0, 0):  # nobody else did it meanwhile
            if base.execute("select count(*) from sqlite_master where name = 'facts'").fetchone()[0]:
                copy_aside(path, "before-checksums")
                lift(base)
            else:
                tables.make(base)
        base.execute("commit")
    except BaseException:
        if base.in_transaction:
            base.execute("rollback")
        raise


def copy_aside(path: Path, why: str) -> Path:
    """Copy the file, byte for byte, beside itself under a name that is not taken, and return where."""
    number = 1
    while (copy := path.with_name(f"{path.stem}-{why}-{number}{path.suffix}")).exists():
        number += 1
    beginning = copy.with_suffix(".part")
    shutil.copyfile(path, beginning)
    beginning.replace(copy)
    return copy
