"""Mends a file whose pages are damaged: every row that is found goes into a new one. The chain tells what lacks."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import groupby
from pathlib import Path
from typing import Any

from assistant.adapters.journal_sqlite import tables
from assistant.adapters.journal_sqlite.lifting import OLD_TABLE, lift
from assistant.adapters.journal_sqlite.pages import rows_in
from assistant.core.errors import DataError
from assistant.core.job.chain import START, Head, Row, believed, seal

Fields = tuple[Any, ...]

_OLD = (str, int, str, str, str)
_HEAD = (str, int, bytes, int)
_FACT = (str, int, int, int, int, int, str, str, bytes)
_ASIDE = 11
"""How many columns a row has that is kept aside."""


def mend(path: Path, copy: Path, fault: str, elsewhere: str) -> None:
    """Replace a damaged file by one with all that is found in its copy; DataError where nothing is.

    The new file is whole before it takes the place of the old one.
    """
    found = list(dict.fromkeys(rows_in(copy.read_bytes())))
    facts = [row for row in found if len(row) == len(_FACT) and _is(row[:2], _FACT[:2])]
    old = [row for row in found if _is(row, _OLD)]
    if not facts and not old:
        copy.unlink()
        raise DataError(f"{path} can't be read: {fault}. {elsewhere}", say="The record can't be read. See the screen.")
    fresh = path.with_name(f"{path.stem}-mended.part")
    fresh.unlink(missing_ok=True)
    with closing(tables.connect(fresh)) as base:
        base.execute("pragma synchronous = EXTRA")
        base.execute("begin immediate")
        if facts:
            _write(base, facts, found)
        else:
            base.execute(OLD_TABLE)
            _insert(base, "facts", old)
            lift(base)
        base.execute("commit")
    path.with_name(path.name + "-journal").unlink(missing_ok=True)  # it belongs to the damaged pages
    fresh.replace(path)  # Windows refuses this while another program has the file open


def _is(row: Fields, types: tuple[type, ...]) -> bool:
    """Return whether a row has fields of these types."""
    return len(row) == len(types) and all(isinstance(field, kind) for field, kind in zip(row, types, strict=True))


def _write(base: sqlite3.Connection, facts: list[Fields], found: list[Fields]) -> None:
    """Write the rows of the present form: of each job those that go on from one another, and the note of its last."""
    tables.make(base)
    heads = [row for row in found if _is(row, _HEAD)]
    rows = sorted((Row(*row) for row in facts), key=lambda row: (row.job, row.number))
    for job, of_job in groupby(rows, key=lambda row: row.job):
        chosen = _going_on(list(of_job))
        _insert(base, "facts", [(*tables.fields(row), row.seal) for row in chosen])
        _insert(base, "firsts", [(*tables.fields(row), row.seal) for row in chosen if row.number == 1])
        _insert(base, "heads", _head(chosen, [head for head in heads if head[0] == job]))
    known = {row.job for row in rows}
    _insert(base, "heads", [head for head in heads if head[0] not in known])
    _insert(base, "aside", [row for row in found if len(row) == _ASIDE])


def _going_on(rows: list[Row]) -> list[Row]:
    """Return one row of each number: the one that goes on from the row before, where there is any."""
    chosen: list[Row] = []
    before = START
    for _, same in groupby(rows, key=lambda row: row.number):
        every = list(same)
        row = next((one for one in every if one.seal == seal(one, before)), every[0])
        before = row.seal
        chosen.append(row)
    return chosen


def _head(rows: list[Row], heads: list[Fields]) -> list[Fields]:
    """Return the note of the last fact that fits, or the one that tells of most facts; an older one may be there."""
    fitting = [head for head in heads if believed(rows[0].job, rows, Head(head[1], head[2]))[1] is None]
    return fitting[:1] or sorted(heads, key=lambda head: int(head[1]))[-1:]


def _insert(base: sqlite3.Connection, table: str, rows: list[Fields]) -> None:
    for row in rows:
        stored = tuple(tables.stored(field) for field in row)
        base.execute(f"insert or ignore into {table} values ({', '.join('?' * len(stored))})", stored)
