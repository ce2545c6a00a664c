"""The facts of all jobs in one SQLite file. Never changes or removes a row; what was appended survives a power cut."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from assistant.core.errors import DeviceError
from assistant.core.events import Event, Recorded, decode, encode

_TABLE = """
create table if not exists facts (
    job text not null,
    number integer not null,
    at text not null,
    kind text not null,
    body text not null,
    primary key (job, number)
) without rowid
"""


class SqliteJournal:
    """Implements `ports.Journal`. Each append is one transaction, on disk when it returns."""

    def __init__(self, path: Path) -> None:
        """Open or make the file; DeviceError where that fails or the file is damaged."""
        self.where = str(path)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._base = sqlite3.connect(path, isolation_level=None, timeout=2.0)
            # EXTRA also syncs the folder after the rollback journal is gone; fullfsync reaches the platter on macOS.
            self._base.execute("pragma synchronous = EXTRA")
            self._base.execute("pragma fullfsync = 1")
            fault = self._base.execute("pragma quick_check(1)").fetchone()[0]
            if fault != "ok":
                raise sqlite3.DatabaseError(fault)
            self._base.execute(_TABLE)
        except (OSError, sqlite3.Error) as error:
            raise self._fault("can't be opened", error) from error

    def append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Write all of the events or none; DeviceError where the disk, or another program, stands in the way."""
        try:
            self._base.execute("begin immediate")
            last = self._base.execute("select coalesce(max(number), 0) from facts where job = ?", (job,)).fetchone()[0]
            rows = tuple(Recorded(job, last + index, at, event) for index, event in enumerate(events, 1))
            self._base.executemany("insert into facts values (?, ?, ?, ?, ?)", [_row(row) for row in rows])
            self._base.execute("commit")
        except sqlite3.Error as error:
            self._give_up()
            raise self._fault("can't be written", error) from error
        return rows

    def _give_up(self) -> None:
        try:
            if self._base.in_transaction:
                self._base.execute("rollback")
        except sqlite3.Error:
            pass  # the transaction is undone when the file is opened next

    def read(self, job: str, *kinds: type[Event]) -> tuple[Recorded, ...]:
        """Return the events of one job in order, all or those of some kinds; DataError for one that can't be read."""
        names = [kind.__name__ for kind in kinds]
        only = f"and kind in ({', '.join('?' for _ in names)})" if names else ""
        rows = self._query(
            f"select number, at, kind, body from facts where job = ? {only} order by number", job, *names
        )
        return tuple(
            Recorded(job, int(number), datetime.fromisoformat(at), decode(kind, body))
            for number, at, kind, body in rows
        )

    def jobs(self) -> tuple[str, ...]:
        """Return the names of all jobs, oldest first."""
        return tuple(job for (job,) in self._query("select job from facts where number = 1 order by at, job"))

    def _query(self, query: str, *values: str) -> list[tuple[str, ...]]:
        try:
            return self._base.execute(query, values).fetchall()
        except sqlite3.Error as error:
            raise self._fault("can't be read", error) from error

    def _fault(self, what: str, error: Exception) -> DeviceError:
        return DeviceError(
            f"the journal {self.where} {what}: {error}. Free some space, close other programs that use it, or name "
            "another folder with --data; what was written before is kept",
            say="I can't write the journal. Stop, and look at the screen.",
        )

    def close(self) -> None:
        """Close the file; may be called twice."""
        self._base.close()


def _row(recorded: Recorded) -> tuple[str, int, str, str, str]:
    kind, body = encode(recorded.event)
    return recorded.job, recorded.number, recorded.at.isoformat(), kind, body
