"""A file is written whole or not at all, and stays readable by whom it was."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from assistant.system.whole_file import write_whole


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "car.yaml"
    file.write_text("old", encoding="utf-8")

    def full(number: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(file, "new, and longer")
    assert {one.name: one.read_text(encoding="utf-8") for one in tmp_path.iterdir()} == {"car.yaml": "old"}


def test_a_file_that_is_written_anew_keeps_who_may_read_it(tmp_path: Path) -> None:
    file = tmp_path / "car.yaml"
    file.write_text("old", encoding="utf-8")
    file.chmod(0o600)
    write_whole(file, b"new")
    assert (file.read_bytes(), file.stat().st_mode & 0o777) == (b"new", 0o600)


def test_who_has_the_old_file_open_reads_it_to_its_end(tmp_path: Path) -> None:
    file = tmp_path / "car.yaml"
    file.write_text("old", encoding="utf-8")
    with file.open(encoding="utf-8") as reader:
        write_whole(file, "new")
        assert reader.read() == "old"
