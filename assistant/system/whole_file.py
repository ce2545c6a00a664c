"""Writes a file at once, or not at all: whoever reads it, also after power was lost, finds the old one or the new."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

from assistant.system.plain_file import real


def write_whole(file: Path, content: str | bytes) -> None:
    """Write a file at once, or not at all; one that was there keeps who may read it."""
    file = real(file)  # where a link leads stays one
    new = file.with_name(file.name + ".new")
    try:
        with new.open("wb") as out:
            out.write(content.encode() if isinstance(content, str) else content)
            out.flush()
            os.fsync(out.fileno())
        if file.exists():
            shutil.copymode(file, new)
        new.replace(file)
    except BaseException:
        with suppress(OSError):
            new.unlink(missing_ok=True)
        raise
