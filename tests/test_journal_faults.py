"""A short part of the attacks on the journal; `tests/benchmarks/journal_faults.py` makes them all."""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from assistant.adapters.journal_sqlite import lifting
from tests import journal_attacks
from tests.journal_attacks import at_every_operation, cut, flipped, limited, sample, shim, while_it_recovers
from tests.old_jobs import lines


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = shim(tmp_path_factory.mktemp("library"))
    if made is None:
        pytest.skip("needs Linux and a C compiler")
    return made


def verdicts(folder: Path, library: Path, how: str, places: tuple[int, ...], **fault: object) -> set[str]:
    found = dict(at_every_operation(folder, library, how, count=2, only=places, **fault))  # type: ignore[arg-type]
    assert len(found) == len(places)
    return set(found.values())


@pytest.mark.parametrize("how", ["kill", "torn"])
def test_a_process_killed_in_the_middle_of_writing_loses_nothing_acknowledged(
    tmp_path: Path, library: Path, how: str
) -> None:
    assert verdicts(tmp_path, library, how, (2, 18, 27), what="w" if how == "torn" else journal_attacks.ALL) == {
        "whole"
    }


def test_one_failed_operation_loses_nothing(tmp_path: Path, library: Path) -> None:
    assert verdicts(tmp_path, library, "EIO", (4, 30)) == {"whole"}
    assert verdicts(tmp_path, library, "EIO", (3, 8), what="s") == {"whole"}


def test_a_disk_that_fails_from_then_on_is_told(tmp_path: Path, library: Path) -> None:
    assert verdicts(tmp_path, library, "ENOSPC", (1, 30), times=0) == {"told"}
    assert verdicts(tmp_path, library, "EIO", (6,), what="s", times=0) == {"told"}


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_full_disk_is_told(tmp_path: Path) -> None:
    assert [limited(tmp_path / f"{most}" / "journal.sqlite", most, 12) for most in (0, 9000)] == ["told", "told"]


def test_a_process_killed_while_it_mends_or_lifts_a_file_leaves_it_to_the_next(tmp_path: Path, library: Path) -> None:
    file = tmp_path / "old.sqlite"
    with closing(sqlite3.connect(file)) as base:
        base.execute(lifting.OLD_TABLE)
        for line in lines("before-conditions-unfinished"):
            base.execute("insert into facts values ('a', :number, :at, :kind, :body)", line)
        base.commit()
    assert set(while_it_recovers(tmp_path / "lifted", library, file.read_bytes(), (1, 9, 15))) == {"whole"}
    sample(tmp_path / "whole.sqlite")
    damaged = (tmp_path / "whole.sqlite").read_bytes()[:-3000]
    assert set(while_it_recovers(tmp_path / "mended", library, damaged, (1, 9, 15))) == {"whole"}


def test_no_changed_bit_and_no_cut_is_believed(tmp_path: Path) -> None:
    bits = flipped(tmp_path / "bits" / "journal.sqlite", 499, (0, 6))
    assert set(bits) <= {"harmless", "found", "refused"}
    assert bits["found"] > 10
    cuts = cut(tmp_path / "cut" / "journal.sqlite", range(1, 20_000, 1999))
    assert set(cuts) <= {"harmless", "found"}  # what holds only the copy of a first fact is no loss
    assert cuts["found"] > 8
