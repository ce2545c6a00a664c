"""Keeps a job going while its journal can't be written: in memory, told aloud, and written in order once it can be.

It stands between the path and a journal, behind the same port. After any fault the journal beneath is not trusted: it
is opened anew, what it holds is read by its chain, and what it lacks is written, the facts of this run first to last.
Facts keep the numbers that they were given in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import groupby, takewhile

from assistant.core.errors import Busy, DeviceError
from assistant.core.job.chain import Damage
from assistant.core.job.events import Event, Recorded
from assistant.ports import Journal
from assistant.system.disk_fault import DiskFault, disk_fault
from assistant.system.ending import unbroken

CANNOT = "I can't write the record."
GOES_ON = "I go on, but if I stop now the last answers are lost."
AGAIN = "I can write the record again. Nothing is lost."


class Keeping:
    """Implements `ports.Journal` over one that may fail. Only a job that another run holds is refused."""

    def __init__(self, where: str, opened: Callable[[], Journal], note: Callable[[str], None]) -> None:
        """Open the journal, if that can be; `note` is told why not, for the eye."""
        self.where = where
        self.warnings: list[str] = []
        self._opened = opened
        self._note = note
        self._store: Journal | None = None
        self.behind = False
        self._facts: dict[str, list[Recorded]] = {}
        """All facts of the jobs that this run holds, written or not."""
        self._written: dict[str, int] = {}
        """How many of them the journal has taken."""
        self._damage: dict[str, Damage | None] = {}
        try:
            self._store = opened()
        except DeviceError as error:
            self._failed(error)

    def hold(self, job: str) -> None:
        """Let nobody else write a job; Busy where another run does. Where the disk stands in the way, go on without."""
        if job in self._facts:
            return
        found: tuple[Recorded, ...] = ()
        try:
            store = self._there()
            try:
                store.hold(job)
            finally:  # also where it can't be written; where it can, nobody else writes from here on
                found, self._damage[job] = store.read(job), store.damage(job)
        except Busy:
            raise
        except DeviceError as error:
            self._failed(error)
        self._facts[job] = list(found)
        self._written[job] = len(found)

    def append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Number the events, and write them with all that is still to be written; never fails for want of a disk."""
        with unbroken():  # a write that is broken off seems to have failed
            return self._append(job, events, at)

    def _append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        self.hold(job)
        known = self._facts[job]
        last = known[-1].number if known else 0
        rows = tuple(Recorded(job, last + more, at, event) for more, event in enumerate(events, 1))
        known.extend(rows)
        self._catch_up()
        return rows

    def set_aside(self, job: str, kept: int, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        """Keep the facts of a job after so many aside, and go on from there; in memory where it can't be written."""
        self.hold(job)
        good = self._facts[job][:kept]
        try:
            rows = self._there().set_aside(job, kept, events, at)
            self._written[job] = kept + len(rows)
        except DeviceError as error:
            self._failed(error)
            rows = tuple(Recorded(job, kept + more, at, event) for more, event in enumerate(events, 1))
            self._written[job] = kept
        self._facts[job] = [*good, *rows]
        self._damage.pop(job, None)
        return rows

    def read(self, job: str, *kinds: type[Event]) -> tuple[Recorded, ...]:
        """Return the facts of a job, of those that this run holds the unwritten ones too."""
        if job in self._facts:
            return tuple(row for row in self._facts[job] if not kinds or isinstance(row.event, kinds))
        return self._there().read(job, *kinds)

    def damage(self, job: str) -> Damage | None:
        """Return from where on a job can't be believed; of one that this run holds, what was found at the beginning."""
        return self._damage.get(job) if job in self._facts else self._there().damage(job)

    def jobs(self) -> tuple[str, ...]:
        """Return the names of all jobs, oldest first."""
        return tuple(dict.fromkeys((*self._there().jobs(), *self._facts)))

    def close(self) -> None:
        """Write what is still to be written, let the journal go, and tell what is lost; may be called twice."""
        if self.behind and self._facts:
            self._catch_up()
        missing = sum(len(facts) - self._written[job] for job, facts in self._facts.items())
        if missing:
            self._note(
                f"error: the last {missing} facts of this job could not be written to {self.where}: they are lost"
            )
        self._facts.clear()
        self._let_go()

    def _there(self) -> Journal:
        """Return the journal, opened anew where it was not trusted any more."""
        if self._store is None:
            store = self._opened()
            try:
                for job in self._facts:
                    self._compare(store, job)
            except BaseException:
                store.close()
                raise
            self._store = store
        return self._store

    def _compare(self, store: Journal, job: str) -> None:
        """Find by what a journal holds how many of the facts it has taken; put aside what is damaged after them."""
        facts = self._facts[job]
        store.hold(job)
        there = store.read(job)
        same = sum(1 for _ in takewhile(lambda pair: _same(*pair), zip(there, facts, strict=False)))
        if same < len(there):
            raise self._others(job)
        if store.damage(job):
            store.set_aside(job, same, (), facts[-1].at)
        self._written[job] = same

    def _others(self, job: str) -> DeviceError:
        return DeviceError(
            f"the job {job} has other facts in {self.where} than this run has; they are left as they are"
        )

    def _catch_up(self) -> None:
        """Write what is still to be written; where that fails, leave it for the next time."""
        try:
            for job, facts in self._facts.items():
                self._write(self._there(), job, facts)
        except DeviceError as error:
            self._failed(error)
            return
        if self.behind:
            self.behind = False
            self.warnings.append(AGAIN)

    def _write(self, store: Journal, job: str, facts: list[Recorded]) -> None:
        for at, turn in groupby(facts[self._written[job] :], key=lambda row: row.at):
            rows = tuple(turn)
            stored = store.append(job, [row.event for row in rows], at)
            if [row.number for row in stored] != [row.number for row in rows]:
                raise self._others(job)
            self._written[job] += len(rows)

    def _failed(self, error: DeviceError) -> None:
        """Trust the journal no more, and say so, once until it can be written again."""
        self._let_go()
        if not self.behind:
            self.behind = True
            self.warnings.append(cannot(disk_fault(error)))
            self._note(f"note: {error}")

    def _let_go(self) -> None:
        if self._store:
            self._store.close()
        self._store = None


def cannot(fault: DiskFault) -> str:
    """Return what is said where the record can't be written: why, what it means, and what to do."""
    return " ".join(part for part in (CANNOT, fault.why, GOES_ON, fault.do) if part)


def _same(one: Recorded, other: Recorded) -> bool:
    return (one.number, one.at, one.event) == (other.number, other.at, other.event)
