"""The journal on a real disk, with a process that is really killed and a disk that is really full."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal, tables
from assistant.core.errors import Busy, DataError, DeviceError
from assistant.core.job.chain import Row
from assistant.core.job.events import Asked, StepDone, StepEntered, TailLost
from assistant.core.job.older_forms import FORM

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)

WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.job.events import StepDone, StepEntered
journal = SqliteJournal(Path(sys.argv[1]))
for number in range(100000):
    journal.append("job", (StepDone(str(number)), StepEntered(str(number))), datetime.now(UTC))
    print(number, flush=True)
"""


def test_what_was_checked_once_is_checked_anew_when_something_else_has_written(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    journal = SqliteJournal(path)
    journal.append("a", (StepEntered("one"), StepDone("one")), AT)
    assert len(journal.read("a")) == 2 and journal.damage("a") is None
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("update facts set body = replace(body, 'one', 'two') where number = 2")
    assert len(journal.read("a")) == 1
    assert (damage := journal.damage("a")) and damage.number == 2
    journal.close()


def test_facts_come_back_in_order(tmp_path: Path) -> None:
    journal = SqliteJournal(tmp_path / "deep" / "journal.sqlite")
    journal.append("a", (StepEntered("one"), StepDone("one")), AT)
    journal.append("b", (Asked("open"),), AT)
    journal.append("a", (StepEntered("two"),), AT)
    assert [(row.number, row.event) for row in journal.read("a")] == [
        (1, StepEntered("one")), (2, StepDone("one")), (3, StepEntered("two")),
    ]  # fmt: skip
    assert journal.jobs() == ("a", "b")
    assert journal.read("c") == ()
    assert [row.number for row in journal.read("a", StepEntered)] == [1, 3]
    assert [row.number for row in journal.read("a", Asked, StepDone)] == [2]
    journal.close()
    journal.close()


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed outright")
@pytest.mark.parametrize("after", [1, 7, 40])
def test_a_killed_process_loses_nothing_that_was_acknowledged(tmp_path: Path, after: int) -> None:
    path = tmp_path / "journal.sqlite"
    child = subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True)
    assert child.stdout
    acknowledged = [int(child.stdout.readline()) for _ in range(after)]
    os.kill(child.pid, signal.SIGKILL)
    acknowledged += [int(line) for line in child.stdout.read().split()]
    child.wait()
    child.stdout.close()
    journal = SqliteJournal(path)
    rows = journal.read("job")
    journal.close()
    assert len(rows) % 2 == 0  # all of an append, or none of it
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    assert [row.event.step for row in rows[::2]] == [str(number) for number in range(len(rows) // 2)]
    assert len(rows) // 2 >= len(acknowledged)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_full_disk_is_said_and_keeps_what_was_written(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    limited = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (60000, 60000))\n" + WRITER
    child = subprocess.run([sys.executable, "-c", limited, str(path)], capture_output=True, text=True, check=False)
    assert "can't be written" in child.stderr
    assert "what was written before is kept" in child.stderr
    journal = SqliteJournal(path)
    assert len(journal.read("job")) == 2 * len(child.stdout.split())
    journal.close()


@pytest.mark.parametrize("content", [b"no database at all" * 400, b"x", b"SQLite format 3\0" + b"\0" * 5000])
def test_what_is_no_database_is_refused_with_a_way_on_and_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "journal.sqlite"
    path.write_bytes(content)
    with pytest.raises(DataError, match="Name another folder with --data"):
        SqliteJournal(path)
    assert path.read_bytes() == content
    assert [file.name for file in tmp_path.iterdir() if file.is_file()] == ["journal.sqlite"]


@pytest.mark.parametrize(
    ("change", "said"),
    [("pragma user_version = 2", "newer version"), ("pragma application_id = 7", "another program")],
)
def test_a_newer_or_a_strange_journal_is_left_as_it_is(tmp_path: Path, change: str, said: str) -> None:
    path = tmp_path / "journal.sqlite"
    SqliteJournal(path).close()
    with closing(sqlite3.connect(path)) as base:
        base.execute(change)
    before = path.read_bytes()
    with pytest.raises(DataError, match=said) as caught:
        SqliteJournal(path)
    assert "--data" in str(caught.value)
    assert path.read_bytes() == before


def test_a_fact_of_an_unknown_kind_is_said_not_skipped(tmp_path: Path) -> None:
    journal = SqliteJournal(tmp_path / "journal.sqlite")
    with closing(tables.connect(tmp_path / "journal.sqlite")) as base:
        tables.put(base, [Row("a", 1, 1, 0, 0, FORM, "FromTheFuture", "{}")])
    with pytest.raises(DataError, match="FromTheFuture"):
        journal.read("a")
    journal.close()


def test_a_job_has_one_writer_and_others_are_told_how_to_watch(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    one, other = SqliteJournal(path), SqliteJournal(path)
    one.append("a", (Asked("open"),), AT)
    with pytest.raises(Busy, match="assistant journal --job a --follow"):
        other.append("a", (Asked("why"),), AT)
    other.append("b", (Asked("why"),), AT)  # another job goes on beside it
    one.append("a", (Asked("time"),), AT)
    assert [row.number for row in other.read("a")] == [1, 2]
    one.close()
    other.append("a", (Asked("why"),), AT)
    assert [row.place for row in other.read("a")] == [1, 3, 4]
    other.close()


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed outright")
def test_the_lock_of_a_killed_process_ends_with_it(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    unhurried = WRITER.replace("import sys", "import sys, time").replace(
        "    print(", "    time.sleep(0.1)\n    print("
    )
    child = subprocess.Popen([sys.executable, "-c", unhurried, str(path)], stdout=subprocess.PIPE, text=True)
    assert child.stdout
    child.stdout.readline()
    journal = SqliteJournal(path)
    with pytest.raises(Busy):
        journal.hold("job")
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    child.stdout.close()
    journal.append("job", (Asked("why"),), AT)
    assert journal.damage("job") is None
    journal.close()


def test_what_does_not_go_on_from_what_this_writer_wrote_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    journal = SqliteJournal(path)
    journal.append("a", (Asked("open"),), AT)
    [row] = _rows(path, "a")
    with closing(tables.connect(path)) as base:  # past the lock, but right in itself
        tables.put(base, [replace(row, number=2, place=2)], row.seal)
    with pytest.raises(DeviceError, match="changed by something else"):
        journal.append("a", (Asked("why"),), AT)
    assert len(journal.read("a")) == 2
    journal.close()


def _rows(path: Path, job: str) -> list[Row]:
    with closing(tables.connect(path)) as base:
        return tables.rows_of(base, job)


CHANGES = {
    "changed": ("update facts set body = replace(body, '3', '8') where number = 3", 3, "checksum"),
    "an instant changed": ("update facts set at = at + 1 where number = 3", 3, "checksum"),
    "missing": ("delete from facts where number = 3", 3, "missing"),
    "the last is missing": ("delete from facts where number = 5", 5, "end of the job is missing"),
    "moved": ("update facts set number = 9 where number = 3 and job = 'a'; update facts set number = 3 where "
              "number = 4 and job = 'a'; update facts set number = 4 where number = 9", 3, "checksum"),
    "doubled": ("insert into facts select job, 6, 6, at, local_offset, form, kind, body, seal from facts "
                "where number = 5", 6, "checksum"),
    "the note of the last is missing": ("delete from heads", 6, "nothing tells how many"),
}  # fmt: skip


@pytest.mark.parametrize(("change", "number", "why"), CHANGES.values(), ids=CHANGES)
def test_what_was_changed_behind_its_back_is_found_and_kept_aside_and_the_rest_goes_on(
    tmp_path: Path, change: str, number: int, why: str
) -> None:
    path = tmp_path / "journal.sqlite"
    journal = SqliteJournal(path)
    journal.append("b", (Asked("open"),), AT)
    journal.append("a", tuple(StepDone(f"step-{number}") for number in range(1, 6)), AT)
    journal.close()
    with closing(sqlite3.connect(path, isolation_level=None)) as base:
        base.executescript(f"{change} {'where' if 'where' not in change else 'and'} job = 'a'")
    journal = SqliteJournal(path)
    damage = journal.damage("a")
    assert damage
    assert damage.number == number
    assert why in damage.why
    assert [row.event for row in journal.read("a")] == [StepDone(f"step-{one}") for one in range(1, min(number, 6))]
    assert journal.damage("b") is None
    before = len(_rows(path, "a"))
    [lost] = journal.set_aside("a", number - 1, (TailLost(damage.lost, damage.why),), AT)
    assert (lost.number, journal.damage("a")) == (number, None)
    journal.append("a", (Asked("why"),), AT)
    assert [row.number for row in journal.read("a")] == list(range(1, number + 2))
    journal.close()
    with closing(sqlite3.connect(path)) as base:
        kept = base.execute("select count(*) from aside where why like 'TailLost%'").fetchone()[0]
    assert kept == before - (number - 1)


def test_instants_are_utc_and_shown_as_they_were_where_they_were_written(tmp_path: Path) -> None:
    journal = SqliteJournal(tmp_path / "journal.sqlite")
    summer, winter = (datetime(2026, 10, 25, 2, 30, tzinfo=timezone(timedelta(hours=hours))) for hours in (2, 1))
    for job, at in (("first", summer), ("second", winter), ("clock set back", summer - timedelta(days=1))):
        journal.append(job, (Asked("open"),), at)
    assert journal.jobs() == ("first", "second", "clock set back")
    ats = [journal.read(job)[0].at for job in journal.jobs()]
    assert ats[1] - ats[0] == timedelta(hours=1)
    assert [at.isoformat() for at in ats[:2]] == ["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"]
    assert [row.at for row in _rows(tmp_path / "journal.sqlite", "first")] == [1792888200_000000]
    journal.close()


def test_a_reader_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    writer = SqliteJournal(path)
    writer.append("a", (Asked("open"),), AT)
    reader = SqliteJournal(path, only_read=True)
    assert [row.number for row in reader.read("a")] == [1]
    writer.append("a", (Asked("why"),), AT)
    assert [row.number for row in reader.read("a")] == [1, 2]
    with pytest.raises(DeviceError, match="readonly"):
        reader.append("b", (Asked("why"),), AT)
    reader.close()
    writer.close()


@pytest.mark.parametrize("name", ["../../away", "/away", "a/b", "nul\x00", "..", "CON"])
def test_no_name_of_a_job_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    data = tmp_path / "data" / "of" / "mine"
    store = SqliteJournal(data / "journal.sqlite")
    store.append(name, [Asked("help")], AT)
    assert [row.event for row in store.read(name)] == [Asked("help")]
    store.close()
    assert {path for path in tmp_path.rglob("*") if path.is_file()} <= set(data.rglob("*"))


@pytest.mark.parametrize("lost", ["changed", "missing"])
def test_the_first_fact_is_kept_twice_for_nothing_goes_on_without_it(tmp_path: Path, lost: str) -> None:
    path = tmp_path / "journal.sqlite"
    journal = SqliteJournal(path)
    journal.append("a", (StepEntered("one"), StepDone("one")), AT)
    journal.close()
    with closing(tables.connect(path)) as base:
        if lost == "changed":
            base.execute("update facts set body = replace(body, 'one', 'two') where number = 1")
        else:
            base.execute("delete from facts where number = 1")
    journal = SqliteJournal(path)
    assert journal.damage("a") is None
    assert [row.event for row in journal.read("a")] == [StepEntered("one"), StepDone("one")]
    journal.append("a", (Asked("why"),), AT)
    assert journal.damage("a") is None
    journal.close()
    with closing(tables.connect(path)) as base:
        base.execute("update firsts set body = replace(body, 'one', 'three')")
    journal = SqliteJournal(path)
    assert journal.read("a") == ()
    assert journal.damage("a")
    journal.close()
