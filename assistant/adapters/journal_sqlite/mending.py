"""Mends a file whose pages are damaged: what can be read of it goes into a new one. The chain tells what lacks."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from assistant.adapters.journal_sqlite import tables
from assistant.adapters.journal_sqlite.lifting import OLD_TABLE, lift
from assistant.core.errors import DataError

Read = dict[str, list[tuple[Any, ...]]]
"""The rows of each table."""

_ORDERS = {"facts": ("job", "number"), "heads": ("job",), "aside": ("rowid",)}
_OLD_COLUMNS, _COLUMNS = 5, 9
"""How many columns the facts of version 0 have, and those of today."""


def mend(path: Path, copy: Path, fault: str, elsewhere: str) -> None:
    """Replace a damaged file by one with all that can be read of its copy; DataError where nothing can be.

    The new file is whole before it takes the place of the old one.
    """
    read = _read(copy)
    if not read.get("facts"):
        copy.unlink()
        raise DataError(f"{path} can't be read: {fault}. {elsewhere}", say="The record can't be read. See the screen.")
    fresh = path.with_name(f"{path.stem}-mended.part")
    fresh.unlink(missing_ok=True)
    with closing(tables.connect(fresh)) as base:
        base.execute("pragma synchronous = EXTRA")
        base.execute("begin immediate")
        _write(base, read)
        base.execute("commit")
    path.with_name(path.name + "-journal").unlink(missing_ok=True)  # it belongs to the damaged pages
    fresh.replace(path)


def _read(copy: Path) -> Read:
    """Return all rows that can be read; empty where none can be."""
    scratch = copy.with_suffix(".scratch")
    content = copy.read_bytes()
    try:
        for attempt in (content, _with_header(content), _with_first_page(content, scratch)):
            scratch.write_bytes(attempt)
            read = _read_tables(scratch)
            if read.get("facts"):
                return read
    finally:
        scratch.unlink(missing_ok=True)
    return {}


def _read_tables(file: Path) -> Read:
    with closing(tables.connect(file, readonly=True)) as base:
        try:
            columns = len(base.execute("pragma table_info(facts)").fetchall())
        except sqlite3.DatabaseError:
            return {}
        if columns not in (_OLD_COLUMNS, _COLUMNS):
            return {}
        return {
            table: list(dict.fromkeys(_every(base, table, order)))
            for table, order in _ORDERS.items()
            if table == "facts" or columns == _COLUMNS
        }


def _every(base: sqlite3.Connection, table: str, order: tuple[str, ...]) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of a table as far as they can be read, from both of its ends: a page between may be unreadable."""
    for direction in ("asc", "desc"):
        by = ", ".join(f"{one} {direction}" for one in order)
        try:
            yield from base.execute(f"select * from {table} order by {by}")
        except sqlite3.DatabaseError:
            continue
        return


def _with_header(content: bytes) -> bytes:
    """Return a file with those fields of its header put right that are the same in every journal."""
    header = bytearray(content[:100].ljust(100, b"\x00"))
    header[:24] = b"SQLite format 3\x00" + bytes((0x10, 0x00, 1, 1, 0, 64, 32, 32))  # 4096-byte pages, rollback journal
    header[44:48] = (4).to_bytes(4, "big")  # schema format
    header[52:60] = (0).to_bytes(4, "big") + (1).to_bytes(4, "big")  # no auto-vacuum; UTF-8
    return bytes(header) + content[100:]


def _with_first_page(content: bytes, scratch: Path) -> bytes:
    """Return a file with the first page of a new one, which names the tables where this program makes them."""
    scratch.unlink(missing_ok=True)
    with closing(tables.connect(scratch)) as base:
        tables.make(base)
    page = bytearray(scratch.read_bytes()[:4096])
    page[28:32] = (len(content) // 4096).to_bytes(4, "big")  # how many pages there are
    return bytes(page) + content[4096:]


def _write(base: sqlite3.Connection, read: Read) -> None:
    """Write what was read; a row whose job or number is none is kept aside."""
    facts = [row for row in read["facts"] if isinstance(row[0], str) and isinstance(row[1], int)]
    old = any(len(row) == _OLD_COLUMNS for row in facts)
    if old:
        base.execute(OLD_TABLE)
    else:
        tables.make(base)
    _insert(base, "facts", facts)
    if old:
        lift(base)
        return
    _insert(base, "heads", [row for row in read["heads"] if isinstance(row[1], int) and isinstance(row[3], int)])
    _insert(base, "aside", read["aside"])
    strange = [row for row in read["facts"] if row not in facts]
    _insert(base, "aside", [(*row, "its job or number can't be read", "") for row in strange])


def _insert(base: sqlite3.Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    for row in rows:
        fields = tuple(tables.stored(field) for field in row)
        base.execute(f"insert or ignore into {table} values ({', '.join('?' * len(fields))})", fields)
