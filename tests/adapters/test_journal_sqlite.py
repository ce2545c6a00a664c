"""The journal on a real disk, with a process that is really killed and a disk that is really full."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.errors import DataError, DeviceError
from assistant.core.events import Asked, StepDone, StepEntered

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)

WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.events import StepDone, StepEntered
journal = SqliteJournal(Path(sys.argv[1]))
for number in range(100000):
    journal.append("job", (StepDone(str(number)), StepEntered(str(number))), datetime.now(UTC))
    print(number, flush=True)
"""


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


def test_a_damaged_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    path.write_bytes(b"no database at all" * 400)
    with pytest.raises(DeviceError, match="can't be opened"):
        SqliteJournal(path)


def test_an_unknown_fact_is_said_not_skipped(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    journal = SqliteJournal(path)
    journal.append("a", (Asked("open"),), AT)
    with sqlite3.connect(path) as base:
        base.execute("insert into facts values ('a', 2, ?, 'FromTheFuture', '{}')", (AT.isoformat(),))
    base.close()
    with pytest.raises(DataError, match="FromTheFuture"):
        journal.read("a")
    journal.close()


def test_a_second_writer_waits_or_is_told(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    one, other = SqliteJournal(path), SqliteJournal(path)
    one.append("a", (Asked("open"),), AT)
    other.append("a", (Asked("why"),), AT)
    assert [row.number for row in one.read("a")] == [1, 2]
    one.close()
    other.close()
