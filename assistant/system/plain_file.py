"""Reads a file that somebody named, whatever stands in its place: a folder, a pipe, a device, a file of gigabytes."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from assistant.core.errors import DataError

LARGEST = 2_000_000
"""No file that somebody wrote by hand is larger [byte]; reading on would only take time and memory."""
LONGEST_NAME = 80
"""So much of a name is shown."""


class UnfitFile(DataError):  # noqa: N818 — the shortest true name
    """A file that is none, or can't be read: where, and why."""

    def __init__(self, path: Path, why: str, line: int = 0) -> None:
        self.why, self.line = why, max(1, line)
        super().__init__(f"{short(path)}{f', line {line}' if line else ''}: {why}")


def real(path: Path) -> Path:
    """Return where links lead; of links that lead in a circle the path itself, which then can't be opened."""
    return Path(os.path.realpath(path))


def refuse_what_is_no_file(path: Path) -> int:
    """Return the size of a file [byte]; DataError where nothing, or no plain file, is in its place.

    Opening a pipe would wait for whoever writes to it, and a device may never end.
    """
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError) as error:
        raise UnfitFile(path, "there is no such file; check its name and folder") from error
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL in it
        raise UnfitFile(path, f"it can't be opened: {_why(error)}. Check its name and folder") from error
    if not stat.S_ISREG(found.st_mode):
        kind = "a folder" if stat.S_ISDIR(found.st_mode) else "a pipe or a device"
        raise UnfitFile(path, f"it can't be read: it is {kind}; name a file")
    return found.st_size


def read_plain(path: Path, largest: int = LARGEST) -> bytes:
    """Return the content of a file; DataError where there is none, it is no plain file, too large, or not readable."""
    size = refuse_what_is_no_file(path)
    if size > largest:
        raise UnfitFile(path, f"it is larger than {largest // 1_000_000} MB: name the right file")
    try:
        with path.open("rb") as file:
            return file.read(largest + 1)
    except OSError as error:
        raise UnfitFile(path, f"it can't be read: {_why(error)}. Check who may read it") from error


def read_text(path: Path, largest: int = LARGEST) -> str:
    """Return the text of a file in UTF-8, as `read_plain` does; DataError names the line that is none."""
    content = read_plain(path, largest)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        why = "it can't be read as text: it is not written in UTF-8; save it as UTF-8"
        raise UnfitFile(path, why, line) from error


def short(name: object) -> str:
    """Return a name as it is shown: its beginning and its end, without line breaks."""
    text = str(name).encode("unicode_escape", "replace").decode() if not str(name).isprintable() else str(name)
    return text if len(text) <= 2 * LONGEST_NAME else f"{text[:LONGEST_NAME]}...{text[-LONGEST_NAME:]}"


def _why(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
