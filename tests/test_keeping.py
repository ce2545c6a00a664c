"""A job goes on while its journal can't be written, says so once, and is written in order when it can be again."""

from __future__ import annotations

import errno
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal, tables
from assistant.core.errors import Busy, DataError, DeviceError
from assistant.core.job import events as e
from assistant.path.keeping import AGAIN, CANNOT, Keeping, cannot
from assistant.system.disk_fault import DiskFault, disk_fault
from tests.talk import Talk

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
UNKNOWN = cannot(DiskFault.OTHER)


class Frail(SqliteJournal):
    """A journal whose appends fail where they are told to. What is simulated is the failure; the file is real."""

    fail: Iterator[str] = iter(())
    """For each append: how it fails, or nothing."""
    closed = 0

    def append(self, job: str, events: Sequence[e.Event], at: datetime) -> tuple[e.Recorded, ...]:
        how = next(Frail.fail, "")
        if how == "before":
            raise DeviceError("disk full")
        rows = super().append(job, events, at)
        if how == "after":  # the sync failed, and yet it is there
            raise DeviceError("sync failed")
        if how == "lost":  # the sync failed, and what was acknowledged before is gone with it
            self._base.execute("delete from facts where job = ? and number > 2", (job,))
            raise DeviceError("sync failed")
        return rows

    def close(self) -> None:
        Frail.closed += 1
        super().close()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.sqlite"


def keeping(path: Path, fail: Sequence[str], notes: list[str] | None = None) -> Keeping:
    Frail.fail = iter(fail)
    return Keeping(str(path), lambda: Frail(path), (notes if notes is not None else []).append)


def on_disk(path: Path, job: str = "a") -> list[e.Event]:
    """Return the facts that another program finds, which are right as a whole."""
    reader = SqliteJournal(path, only_read=True)
    assert reader.damage(job) is None
    found = [row.event for row in reader.read(job)]
    reader.close()
    return found


def said(store: Keeping) -> list[str]:
    """Take what has to be said."""
    warnings = list(store.warnings)
    store.warnings.clear()
    return warnings


def asked(number: int) -> tuple[e.Event, ...]:
    return (e.Asked(f"{number}"), e.Asked(f"{number} more"))


@pytest.mark.parametrize("how", ["before", "after", "lost"])
@pytest.mark.parametrize("times", [1, 3])
def test_after_a_failed_write_nothing_is_lost_doubled_or_out_of_order(path: Path, how: str, times: int) -> None:
    notes: list[str] = []
    store = keeping(path, ["", "", *([how] * times)], notes)
    numbers: list[int] = []
    warnings: list[list[str]] = []
    for number in range(8):
        rows = store.append("a", asked(number), AT + timedelta(seconds=number))
        numbers += [row.number for row in rows]
        warnings.append(said(store))
    assert numbers == list(range(1, 17))
    assert on_disk(path) == [event for number in range(8) for event in asked(number)]
    assert [row.number for row in store.read("a")] == numbers
    assert [text for told in warnings for text in told] == [UNKNOWN, AGAIN]
    assert warnings[2] == [UNKNOWN]
    assert notes == [f"note: {'disk full' if how == 'before' else 'sync failed'}"]
    store.close()


def test_a_journal_that_failed_is_not_trusted_but_opened_anew(path: Path) -> None:
    Frail.closed = 0
    store = keeping(path, ["", "after"])
    store.append("a", asked(1), AT)
    store.append("a", asked(2), AT)
    assert Frail.closed == 1
    store.append("a", asked(3), AT)
    assert Frail.closed == 1
    store.close()


def test_what_can_not_be_written_to_the_end_is_told_at_the_end(path: Path) -> None:
    notes: list[str] = []
    store = keeping(path, ["", *["before"] * 9], notes)
    store.append("a", asked(1), AT)
    store.append("a", asked(2), AT)
    store.close()
    assert "the last 2 facts of this job could not be written" in notes[-1]
    assert on_disk(path) == [*asked(1)]


def test_a_file_that_another_program_locks_is_waited_out_in_memory(path: Path) -> None:
    store = Keeping(str(path), lambda: SqliteJournal(path), [].append)
    store.append("a", asked(1), AT)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("begin exclusive")
        store.append("a", asked(2), AT)
        assert said(store) == [cannot(DiskFault.HELD)]
        other.execute("rollback")
    store.append("a", asked(3), AT)
    assert said(store) == [AGAIN]
    assert on_disk(path) == [*asked(1), *asked(2), *asked(3)]
    store.close()


def test_a_job_begins_though_the_journal_can_not_even_be_opened(path: Path) -> None:
    path.parent.joinpath("in the way").write_text("a file where the folder should be")
    wrong = path.parent / "in the way" / "journal.sqlite"
    store = Keeping(str(wrong), lambda: SqliteJournal(wrong), [].append)
    assert [row.number for row in store.append("a", asked(1), AT)] == [1, 2]
    assert said(store) == [UNKNOWN]
    (path.parent / "in the way").unlink()
    store.append("a", asked(2), AT)
    assert said(store) == [AGAIN]
    assert on_disk(wrong) == [*asked(1), *asked(2)]
    store.close()


def test_a_journal_that_must_not_be_touched_is_no_disk_that_fails(path: Path) -> None:
    path.write_bytes(b"something else" * 100)
    with pytest.raises(DataError, match="--data"):
        Keeping(str(path), lambda: SqliteJournal(path), [].append)


def test_a_job_of_another_run_is_refused_not_kept_in_memory(path: Path) -> None:
    other = SqliteJournal(path)
    other.append("a", asked(1), AT)
    store = keeping(path, [])
    with pytest.raises(Busy):
        store.append("a", asked(2), AT)
    other.close()
    store.close()


def test_facts_of_somebody_else_are_never_written_over(path: Path) -> None:
    store = keeping(path, ["", "before"])
    store.append("a", asked(1), AT)
    store.append("a", asked(2), AT)
    with closing(tables.connect(path)) as base:  # past the lock
        rows = tables.rows_of(base, "a")
        tables.put(base, [rows[-1].__class__("a", 3, 3, 0, 0, 2, "StepDone", '{"step":"x"}')], rows[-1].seal)
    store.append("a", asked(3), AT)
    store.close()
    assert on_disk(path) == [*asked(1), e.StepDone("x")]


def test_the_person_is_told_once_in_the_talk_and_once_when_it_is_over(talk: Talk) -> None:
    place = Path(talk.journal.where)
    name, facts = talk.desk.job, talk.journal.read(talk.desk.job)
    talk.journal.close()
    Frail.fail = iter(["", "before", "before"])
    store = Keeping(str(place), lambda: Frail(place), [].append)
    store.hold(name)
    talk.desk.journal = store
    replies = [talk.say("what is still open").reply.say for _ in range(5)]
    assert replies == ["Nothing is open.", f"{UNKNOWN} Nothing is open.", "Nothing is open.",
                       f"{AGAIN} Nothing is open.", "Nothing is open."]  # fmt: skip
    assert max(len(cannot(fault).split()) for fault in DiskFault) < 30
    store.close()
    assert len(on_disk(place, name)) == len(facts) + 5


FULL = """
import resource, sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.job.events import Asked
from assistant.path.keeping import Keeping
path = Path(sys.argv[1])
store = Keeping(str(path), lambda: SqliteJournal(path), lambda text: print("NOTE", text))
for number in range(60):
    if number == 10:
        resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
    if number == 50:
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    rows = store.append("a", (Asked("x" * 500 + str(number)),), datetime.now(UTC))
    print(number + 1 == rows[0].number, *store.warnings)
    store.warnings.clear()
store.close()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
@pytest.mark.parametrize("most", [0, 4096, 20480, 28700, 33000])
def test_a_really_full_disk_is_told_and_all_is_written_in_order_when_there_is_room(path: Path, most: int) -> None:
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path), str(most)], capture_output=True, text=True, check=True
    )
    assert done.stdout.count(CANNOT) == done.stdout.count(AGAIN) == done.stdout.count("NOTE") == 1
    assert done.stdout.count("True") == 60
    assert on_disk(path) == [e.Asked("x" * 500 + str(number)) for number in range(60)]


NO_PLACE = """
import os, sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.job.events import Asked
from assistant.path.keeping import Keeping
path = Path(sys.argv[1])
if os.geteuid() == 0:
    os.setuid(65534)  # whoever may do everything finds no folder read-only
store = Keeping(str(path), lambda: SqliteJournal(path), lambda text: print("NOTE", text))
store.hold("a")
known, rows = len(store.read("a")), store.append("a", (Asked("more"),), datetime.now(UTC))
print(known, [row.number for row in rows], *store.warnings)
store.close()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a folder that nobody may write to")
def test_a_job_in_a_read_only_folder_is_read_and_goes_on_in_memory(tmp_path: Path) -> None:
    data = tmp_path / "data"
    journal = SqliteJournal(data / "journal.sqlite")
    journal.append("a", asked(1), AT)
    journal.close()
    before = (data / "journal.sqlite").read_bytes()
    for place in (*tmp_path.parents, tmp_path):
        if place.owner() == tmp_path.owner() and place != Path("/"):
            place.chmod(place.stat().st_mode | 0o555)
    for file in data.rglob("*"):
        file.chmod(0o444 if file.is_file() else 0o555)
    data.chmod(0o555)
    done = subprocess.run(
        [sys.executable, "-c", NO_PLACE, str(data / "journal.sqlite")], capture_output=True, text=True, check=False
    )
    data.chmod(0o755)
    assert f"2 [3] {cannot(DiskFault.DENIED)}" in done.stdout, done.stderr
    assert "the last 1 facts of this job could not be written" in done.stdout
    assert (data / "journal.sqlite").read_bytes() == before


@pytest.mark.parametrize(
    ("number", "fault"),
    [
        (errno.ENOSPC, DiskFault.FULL),
        (errno.EROFS, DiskFault.READ_ONLY),
        (errno.EACCES, DiskFault.DENIED),
        (errno.EPERM, DiskFault.DENIED),
        (errno.EIO, DiskFault.BROKEN),
        (errno.EBUSY, DiskFault.HELD),
        (errno.ENOENT, DiskFault.GONE),
        (errno.EMFILE, DiskFault.OTHER),
    ],
)
def test_for_each_error_of_the_system_it_is_said_what_is_the_case(number: int, fault: DiskFault) -> None:
    wrapped = DeviceError("it can't be written")
    wrapped.__cause__ = OSError(number, "invented")
    assert disk_fault(wrapped) is fault
    assert ("space" in cannot(fault)) is (fault is DiskFault.FULL)


def failure(base: sqlite3.Connection) -> sqlite3.Error:
    with pytest.raises(sqlite3.Error) as failed:
        base.execute("create table t (x)")
    return failed.value


def test_what_sqlite_finds_is_said_too(path: Path) -> None:
    with closing(sqlite3.connect(path)) as base:
        base.execute("create table s (x)")
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as base:
        assert disk_fault(failure(base)) is DiskFault.READ_ONLY
    with closing(sqlite3.connect(path, timeout=0)) as base, closing(sqlite3.connect(path, timeout=0)) as other:
        other.execute("begin exclusive")
        assert disk_fault(failure(base)) is DiskFault.HELD
    with closing(sqlite3.connect(path)) as base:
        base.execute("pragma max_page_count = 2")
        assert disk_fault(failure(base)) is DiskFault.FULL
    with pytest.raises(sqlite3.Error) as failed:
        sqlite3.connect(path.parent / "nowhere" / "journal.sqlite")
    assert disk_fault(failed.value) is DiskFault.DENIED
