"""The file of the journal: lifted from its older form, mended where its pages are damaged, the old one kept aside."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal, lifting, tables
from assistant.core.errors import Busy, DataError
from assistant.core.job.events import Asked, Event, StepDone
from assistant.core.job.state import fold
from tests.old_jobs import lines, recorded

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
Old = tuple[str, int, str, str, str]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.sqlite"


def write_old(path: Path, facts: list[Old]) -> bytes:
    """Write a file of version 0, and return its bytes."""
    with closing(sqlite3.connect(path)) as base:
        base.execute(lifting.OLD_TABLE)
        base.executemany("insert into facts values (?, ?, ?, ?, ?)", facts)
        base.commit()
    return path.read_bytes()


def of_sample(sample: str, job: str) -> list[Old]:
    return [(job, int(line["number"]), line["at"], line["kind"], line["body"]) for line in lines(sample)]


def asked(job: str, number: int, at: str) -> Old:
    return job, number, at, "Asked", f'{{"topic":"{job} {number}"}}'


def test_a_file_of_version_0_is_lifted_and_its_content_kept_aside(path: Path) -> None:
    facts = of_sample("before-conditions-finished", "x") + of_sample("with-conditions-unfinished", "w")
    before = write_old(path, facts)
    journal = SqliteJournal(path)
    assert set(journal.jobs()) == {"x", "w"}
    assert journal.damage("x") is journal.damage("w") is None
    found = [(row.number, row.at, row.event) for row in journal.read("x")]
    assert found == [(row.number, row.at, row.event) for row in recorded("before-conditions-finished")]
    assert fold(journal.read("w")).step == "tray-off"
    journal.append("w", (Asked("why"),), AT)
    journal.close()
    [copy] = path.parent.glob("journal-before-checksums-*.sqlite")
    assert copy.read_bytes() == before
    SqliteJournal(path).close()
    assert len(list(path.parent.glob("journal-*.sqlite"))) == 1
    with closing(sqlite3.connect(path)) as base:  # no fact is rewritten
        kept = set(base.execute("select kind, body from facts where form = 1"))
    assert kept == {(kind, body) for *_, kind, body in facts}


def test_old_jobs_are_ordered_by_their_instants_not_by_the_text_of_their_times(path: Path) -> None:
    write_old(path, [
        asked("after the change", 1, "2026-10-25T02:10:00+01:00"),
        asked("before the change", 1, "2026-10-25T02:30:00+02:00"),
        asked("before the change", 2, "2026-10-25T02:20:00+01:00"),
        asked("set back", 1, "2026-10-25T05:00:00+01:00"), asked("set back", 2, "2026-10-25T01:00:00+01:00"),
    ])  # fmt: skip
    journal = SqliteJournal(path)
    assert journal.jobs() == ("before the change", "after the change", "set back")
    rows = sorted((row for job in journal.jobs() for row in journal.read(job)), key=lambda row: row.place)
    assert [(row.job, row.number) for row in rows] == [
        ("before the change", 1), ("after the change", 1), ("before the change", 2), ("set back", 1), ("set back", 2),
    ]  # fmt: skip
    journal.close()


def test_a_gap_and_a_time_that_is_none_in_an_old_file_lose_no_other_fact(path: Path) -> None:
    write_old(path, [asked("gap", 1, f"{AT}"), asked("gap", 3, f"{AT}"), asked("time", 1, f"{AT}"),
                     asked("time", 2, "noon"), asked("late", 2, f"{AT}")])  # fmt: skip
    journal = SqliteJournal(path)
    damage = journal.damage("gap")
    assert damage
    assert (damage.number, damage.lost) == (2, 2)
    assert [row.number for row in journal.read("gap")] == [1]
    assert [row.at for row in journal.read("time")] == [AT, AT]
    assert journal.damage("time") is None
    assert journal.damage("late")
    journal.close()
    with closing(sqlite3.connect(path)) as base:
        assert base.execute("select job, number from aside order by job").fetchall() == [("gap", 3), ("late", 2)]


def test_a_lift_that_is_broken_off_leaves_the_old_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = write_old(path, [asked("a", number, f"{AT}") for number in range(1, 4)])

    def broken(*rows: object) -> None:
        raise sqlite3.OperationalError("disk full")

    monkeypatch.setattr(tables, "put", broken)
    with pytest.raises(Exception, match="disk full"):
        SqliteJournal(path)
    assert path.read_bytes()[100:] == before[100:]  # the header counts changes
    monkeypatch.undo()
    journal = SqliteJournal(path)
    assert len(journal.read("a")) == 3
    journal.close()


WRITTEN: dict[str, list[Event]] = {
    job: [StepDone(f"{job} step {number} " + "x" * 100) for number in range(40)] for job in ("job-0", "job-1", "job-2")
}
"""Facts that fill several pages."""


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a journal that holds them, written a turn each."""
    path = tmp_path_factory.mktemp("content") / "journal.sqlite"
    journal = SqliteJournal(path)
    for number in range(40):
        for job, events in WRITTEN.items():
            journal.append(job, events[number : number + 1], AT + timedelta(seconds=number))
    journal.close()
    return path.read_bytes()


def believed(path: Path) -> dict[str, int]:
    """Return how many facts of each job are believed, each as it was written; a loss is always found."""
    journal = SqliteJournal(path)
    found = {}
    for job, events in WRITTEN.items():
        rows = [row.event for row in journal.read(job)]
        assert rows == events[: len(rows)]
        assert len(rows) == len(events) or journal.damage(job) or job not in journal.jobs()
        found[job] = len(rows)
    journal.close()
    return found


@pytest.mark.parametrize("share", [0.5, 0.8, 0.97])
def test_a_file_that_was_cut_keeps_what_can_be_read_and_goes_on(path: Path, content: bytes, share: float) -> None:
    path.write_bytes(content[: int(len(content) * share)])
    found = believed(path)
    assert any(found.values())
    assert not all(count == 40 for count in found.values())
    [copy] = path.parent.glob("journal-damaged-*.sqlite")
    assert copy.read_bytes() == content[: int(len(content) * share)]
    for job, count in found.items():
        if count:
            journal = SqliteJournal(path)
            journal.set_aside(job, count, (Asked("lost"),), AT)
            assert journal.damage(job) is None
            journal.close()


@pytest.mark.parametrize("place", [0, 7, 16, 17, 18, 21, 28, 44, 56, 100, 103, 4096, 4099, 8192, 9000])
def test_a_damaged_byte_is_found_and_the_rest_is_kept(path: Path, content: bytes, place: int) -> None:
    changed = bytearray(content)
    changed[place] ^= 0xFF
    path.write_bytes(changed)
    assert any(believed(path).values())


@pytest.mark.parametrize("bit", [0x01, 0x80])
@pytest.mark.parametrize("word", [b"kind text", b"heads", b"seal blob", b"create table facts", b"table facts"])
def test_a_damaged_name_of_a_table_or_a_column_is_found_and_nothing_is_lost(
    path: Path, content: bytes, word: bytes, bit: int
) -> None:
    """SQLite finds no fault in it: the pages are as they should be."""
    place = content[:4096].lower().rindex(word)
    path.write_bytes(content[:place] + bytes([content[place] ^ bit]) + content[place + 1 :])
    assert set(believed(path).values()) == {40}


def test_no_file_is_mended_while_another_run_has_a_job_open(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    open_elsewhere = SqliteJournal(path)
    open_elsewhere.hold("job-1")
    path.write_bytes(content[:-5000])
    with pytest.raises(Busy, match="job-1"):
        SqliteJournal(path)
    assert path.read_bytes() == content[:-5000]
    open_elsewhere.close()
    assert any(believed(path).values())


def test_whoever_opened_a_file_before_it_was_mended_writes_nothing_to_the_old_one(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    early = SqliteJournal(path)
    path.write_bytes(content[:-5000])
    SqliteJournal(path).close()
    with pytest.raises(Exception, match="another run of the program has mended the file"):
        early.append("job-1", (Asked("why"),), AT)
    early.close()


def test_what_nothing_can_be_read_of_is_left_as_it_is(path: Path, content: bytes) -> None:
    nothing = (bytes(100) + content[100:150]) * 20
    path.write_bytes(nothing)
    with pytest.raises(DataError, match=r"Nothing in it was changed\. Name another folder with --data"):
        SqliteJournal(path)
    assert path.read_bytes() == nothing
    assert list(path.parent.glob("journal-*")) == []
