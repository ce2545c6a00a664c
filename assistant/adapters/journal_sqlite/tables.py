"""The form of the file: its mark, its version, its tables, and how rows go in and out of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from datetime import UTC, datetime, timedelta, timezone
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.core.job.chain import START, Head, Row, seal

MARK = 0x574A_4E4C
"""`application_id` of the file: whose it is."""
VERSION = 1
"""`user_version` of the file. 0 is the form without checksums."""
WAIT = 1.0
"""How long another program that writes is waited for [second]; a person waits for an answer meanwhile."""

_COLUMNS = """
    job text not null,
    number integer not null,
    place integer not null,
    at integer not null,
    local_offset integer not null,
    form integer not null,
    kind text not null,
    body text not null,
    seal blob not null"""

TABLES = (
    f"create table facts ({_COLUMNS}, primary key (job, number)) without rowid",
    "create table heads (job text primary key, number integer not null, seal blob not null, place integer not null) "
    "without rowid",
    f"create table firsts ({_COLUMNS}, primary key (job)) without rowid",
    f"create table aside ({_COLUMNS.replace(' not null', '')}, why text, since text)",
)
"""Facts; the last fact of each job; its first fact once more, for nothing goes on without that; what can't be believed,
kept aside with the reason and the time."""

_ERASES = tuple(f"delete from {table} where job = ?" for table in ("facts", "heads", "firsts"))
_FIELDS = "job, number, place, at, local_offset, form, kind, body, seal"
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_STEP = timedelta(microseconds=1)


def connect(path: Path, *, readonly: bool = False) -> sqlite3.Connection:
    """Open the file; nothing is read yet."""
    where = f"{path.absolute().as_uri()}?mode={'ro' if readonly else 'rwc'}"
    base = sqlite3.connect(where, uri=True, isolation_level=None, timeout=WAIT)
    base.text_factory = _text
    return base


def _text(written: bytes) -> str:
    """Return a text as it stands, also where a fault in the file has made it none: its checksum tells."""
    return written.decode("utf-8", "surrogateescape")


def make(base: sqlite3.Connection) -> None:
    """Make the tables, within a transaction of the caller's."""
    for table in TABLES:
        base.execute(table)
    base.execute(f"pragma application_id = {MARK}")
    base.execute(f"pragma user_version = {VERSION}")


def are_there(base: sqlite3.Connection) -> bool:
    """Return whether the tables of a file are those that `make` makes."""
    with closing(sqlite3.connect(":memory:")) as model:
        make(model)
        return _definitions(base) == _definitions(model)


def _definitions(base: sqlite3.Connection) -> set[tuple[str, str]]:
    return set(base.execute("select name, sql from sqlite_master"))


def data_version(base: sqlite3.Connection) -> int:
    """Return a number that is another one once another connection has written."""
    found: int = base.execute("pragma data_version").fetchone()[0]
    return found


def rows_of(base: sqlite3.Connection, job: str) -> list[Row]:
    """Return the facts of a job by their numbers, believed or not; the first from its copy, if only that is whole."""
    found = base.execute(f"select {_FIELDS} from facts where job = ? order by number", (job,))
    rows = [Row(*fields) for fields in found]
    if rows and rows[0].number == 1 and rows[0].seal == seal(rows[0], START):
        return rows
    copy = base.execute(f"select {_FIELDS} from firsts where job = ?", (job,)).fetchone()
    if copy is None or (first := Row(*copy)).seal != seal(first, START):
        return rows
    return [first, *(row for row in rows if row.number != 1)]


def head_of(base: sqlite3.Connection, job: str) -> Head | None:
    """Return what is noted of the last fact of a job; None where nothing is."""
    found = base.execute("select number, seal from heads where job = ?", (job,)).fetchone()
    return Head(*found) if found else None


def last_of(base: sqlite3.Connection, job: str) -> Head | None:
    """Return the last fact of a job that is there."""
    found = base.execute("select number, seal from facts where job = ? order by number desc limit 1", (job,)).fetchone()
    return Head(*found) if found else None


def jobs_in(base: sqlite3.Connection) -> tuple[str, ...]:
    """Return the names of all jobs, in the order in which they were begun; those without any fact come last."""
    begun = base.execute("select job, min(place) from facts group by job order by 2, job").fetchall()
    noted = base.execute("select job from heads union select job from firsts order by 1").fetchall()
    names = dict.fromkeys([*(job for job, _ in begun), *(job for (job,) in noted)])
    return tuple(name for name in names if name == stored(name))  # what a fault made of a name is none


def stored(field: Any) -> Any:
    """Return a field as it can be written: a text that is none goes back to its bytes."""
    try:
        return field.encode() and field if isinstance(field, str) else field
    except UnicodeEncodeError:
        return field.encode("utf-8", "surrogateescape")


def next_place(base: sqlite3.Connection) -> int:
    """Return the place of the next fact among those of all jobs."""
    last: int = base.execute("select coalesce(max(place), 0) from heads").fetchone()[0]
    return last + 1


def put(base: sqlite3.Connection, rows: Iterable[Row], before: bytes = START) -> Head:
    """Write facts of one job that go on from a checksum, and note the last; at least one."""
    head = Head(0, before)
    place = 0
    for row in rows:
        head = Head(row.number, seal(row, head.seal))
        place = row.place
        base.execute("insert into facts values (?, ?, ?, ?, ?, ?, ?, ?, ?)", (*fields(row), head.seal))
        if row.number == 1:
            base.execute("insert or replace into firsts values (?, ?, ?, ?, ?, ?, ?, ?, ?)", (*fields(row), head.seal))
        job = row.job
    base.execute("insert or replace into heads values (?, ?, ?, ?)", (job, head.number, head.seal, place))
    return head


def clear(base: sqlite3.Connection, job: str) -> None:
    """Take all rows of a job away, but for those that are kept aside."""
    for erase in _ERASES:
        base.execute(erase, (job,))


def delete(base: sqlite3.Connection, job: str) -> None:
    """Erase all rows of a job."""
    clear(base, job)
    base.execute("delete from aside where job = ?", (job,))


def fields(row: Row) -> tuple[str | int, ...]:
    """Return what a row holds beside its checksum, in the order of the columns."""
    return (row.job, row.number, row.place, row.at, row.offset, row.form, row.kind, row.body)


def put_aside(base: sqlite3.Connection, rows: Iterable[Row], why: str) -> None:
    """Keep rows that can't be believed, with the reason."""
    since = datetime.now(UTC).isoformat(timespec="seconds")  # noqa: TID251 — when a file was mended is no time of a job
    for row in rows:
        kept = tuple(stored(field) for field in (*fields(row), row.seal, why, since))
        base.execute(f"insert into aside values ({', '.join('?' * len(kept))})", kept)


def instant(at: datetime) -> tuple[int, int]:
    """Return a time as microseconds since 1970 in UTC, and its offset from UTC [second]."""
    offset = at.utcoffset() or timedelta()
    return (at - _EPOCH) // _STEP, round(offset.total_seconds())


def moment(row: Row) -> datetime:
    """Return the time of a fact, as it was shown where it was written."""
    return (_EPOCH + row.at * _STEP).astimezone(_zone(row.offset))


@lru_cache(maxsize=64)
def _zone(offset: int) -> timezone:
    return timezone(timedelta(seconds=offset))
