"""The journal over one SQLite file. Never changes a fact; what was appended survives a power cut."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from assistant.adapters.journal_sqlite import tables
from assistant.adapters.journal_sqlite.locks import Locks
from assistant.adapters.journal_sqlite.opening import open_base, open_reader
from assistant.core.errors import DeviceError
from assistant.core.job.chain import START, Damage, Head, Row, believed
from assistant.core.job.events import KINDS, Event, Recorded, decode, encode
from assistant.core.job.older_forms import FORM
from assistant.system.disk_fault import disk_fault

CANNOT_WRITE = "I can't write the journal. Stop, and look at the screen."
NEW = Head(0, START)
"""The end of a job that has no fact yet."""
Answer = TypeVar("Answer")


class SqliteJournal:
    """Implements `ports.Journal`. Each append is one transaction, on disk when it returns.

    After any fault of the file it must be closed and opened anew: what a failed sync left behind is not known.
    """

    def __init__(self, path: Path, *, only_read: bool = False) -> None:
        """Open or make the file; DeviceError where that fails, DataError for a file that is not to be touched.

        Where it is only read, nothing is made, lifted or mended.
        """
        self.where = str(path)
        self.warnings: list[str] = []
        self.behind = False
        self._path = path
        self._ends: dict[str, Head] = {}
        """Where each job ended when this journal wrote it, or took it up, last."""
        self._checked: dict[str, tuple[int, Damage | None]] = {}
        """How many facts of a job its checksums bear out, and the damage, since the file was changed last."""
        self._version = -1
        """What SQLite calls the version of the data that was checked: it changes when another connection writes."""
        self._locks = Locks(path.parent / "locks")
        try:
            self._base = open_reader(path) if only_read else open_base(path, self._locks.alone)
            self._file = _identity(path)
        except (OSError, sqlite3.Error) as error:
            raise self._fault("can't be opened", error) from error

    def hold(self, job: str) -> None:
        """Let nobody else write a job until the journal is closed; DeviceError where another run holds it."""
        try:
            self._locks.hold(job)
            if _identity(self._path) != self._file:
                raise OSError("another run of the program has mended the file: begin again")
        except OSError as error:
            raise self._fault("can't be held for writing", error) from error
        if job not in self._ends:
            self._ends[job] = self._end(job)

    def _end(self, job: str) -> Head:
        """Return the end of what can be believed of a job."""
        rows, _ = self._believed(job)
        return Head(rows[-1].number, rows[-1].seal) if rows else NEW

    def append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Write all of the events or none; DeviceError where the disk, or another program, stands in the way.

        What does not go on from what this journal wrote, or took up, last is refused.
        """
        self.hold(job)
        with self._transaction():
            if (tables.last_of(self._base, job) or NEW) != self._ends[job]:
                raise DeviceError(
                    f"the job {job} was changed by something else: nothing is written behind that. Look at it with: "
                    f"assistant journal {job}",
                    say=CANNOT_WRITE,
                )
            return self._write(job, events, at)

    def _write(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        end, place = self._ends[job], tables.next_place(self._base)
        rows = [_row(job, end.number + more, place + more - 1, at, event) for more, event in enumerate(events, 1)]
        self._ends[job] = tables.put(self._base, rows, end.seal) if rows else end
        pairs = zip(rows, events, strict=True)
        return tuple(Recorded(job, row.number, at, event, row.place) for row, event in pairs)

    def set_aside(self, job: str, kept: int, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Keep the facts of a job after so many aside, and go on from there with these events, all or nothing."""
        self.hold(job)
        with self._transaction():
            rows = tables.rows_of(self._base, job)
            why = next((str(event) for event in events), "")
            tables.put_aside(self._base, rows[kept:], why)
            tables.clear(self._base, job)
            self._ends[job] = tables.put(self._base, rows[:kept]) if kept else NEW
            return self._write(job, events, at)

    def delete(self, job: str) -> None:
        """Erase all facts of a job from the file, those kept aside too; Busy where another run holds it."""
        self.hold(job)
        self._base.execute("pragma secure_delete = on")  # what was deleted is overwritten
        with self._transaction():
            tables.delete(self._base, job)
            self._ends[job] = NEW

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        before = dict(self._ends)
        self._checked.clear()
        try:
            self._base.execute("begin immediate")
            yield
            self._base.execute("commit")
        except sqlite3.Error as error:
            self._give_up(before)
            raise self._fault("can't be written", error) from error
        except BaseException:
            self._give_up(before)
            raise

    def _give_up(self, before: dict[str, Head]) -> None:
        self._ends = before
        try:
            if self._base.in_transaction:
                self._base.execute("rollback")
        except sqlite3.Error:
            pass  # the transaction is undone when the file is opened next

    def read(self, job: str, *kinds: type[Event]) -> tuple[Recorded, ...]:
        """Return what can be believed of a job in order, all or some kinds; DataError for a fact that can't be read."""
        rows, _ = self._believed(job)
        names = {kind.__name__ for kind in kinds}
        wanted = (row for row in rows if not kinds or row.kind in names or _was_another(row))
        facts = [
            Recorded(job, row.number, tables.moment(row), decode(row.kind, row.body, row.form), row.place)
            for row in wanted
        ]
        return tuple(fact for fact in facts if not kinds or isinstance(fact.event, kinds))

    def damage(self, job: str) -> Damage | None:
        """Return from where on a job can't be believed, and why; None where all of it can be."""
        if job in self._checked and self._asked(tables.data_version) == self._version:
            return self._checked[job][1]
        return self._believed(job)[1]

    def _believed(self, job: str) -> tuple[list[Row], Damage | None]:
        """Return the facts that can be believed, and the damage; each fact is checked once while nothing is written."""
        version, rows, head = self._asked(
            lambda base: (tables.data_version(base), tables.rows_of(base, job), tables.head_of(base, job))
        )
        if version != self._version:
            self._version = version
            self._checked.clear()
        if job not in self._checked:
            self._checked[job] = believed(job, rows, head) if rows or head else (0, None)
        good, damage = self._checked[job]
        return rows[:good], damage

    def jobs(self) -> tuple[str, ...]:
        """Return the names of all jobs, oldest first."""
        return self._asked(tables.jobs_in)

    def _asked(self, ask: Callable[[sqlite3.Connection], Answer]) -> Answer:
        """Return what is asked of the file, all of it at one moment."""
        try:
            self._base.execute("begin")
            answer = ask(self._base)
            self._base.execute("commit")
        except sqlite3.Error as error:
            self._give_up(self._ends)
            raise self._fault("can't be read", error) from error
        return answer

    def _fault(self, what: str, error: Exception) -> DeviceError:
        return DeviceError(
            f"the journal {self.where} {what}: {error}. {disk_fault(error).shown}, or name another folder with --data; "
            "what was written before is kept",
            say=CANNOT_WRITE,
        )

    def close(self) -> None:
        """Close the file, and let its jobs go; may be called twice."""
        self._base.close()
        self._locks.close()


def _was_another(row: Row) -> bool:
    """Return whether a fact of an older form may be one of another kind today."""
    return row.form < FORM and row.kind not in KINDS


def _row(job: str, number: int, place: int, at: datetime, event: Event) -> Row:
    kind, body = encode(event)
    return Row(job, number, place, *tables.instant(at), FORM, kind, body)


def _identity(path: Path) -> tuple[int, int]:
    """Return which file a path leads to."""
    found = path.stat()
    return found.st_dev, found.st_ino
