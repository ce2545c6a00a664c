"""What a run of the program leaves on disk: a home of its own to run in, and the files that are in it afterwards."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import soundfile

_ELSEWHERE = ("XDG_", "ORT_", "HF_", "CI", "GITHUB_", "GITLAB_")
"""Beginnings of what tells libraries to keep their files elsewhere, or that they are tested and better keep none."""


def own_home(folder: Path) -> dict[str, str]:
    """Return surroundings in which home, temporary files and all that is usually kept elsewhere lie in a folder."""
    (folder / "temporary").mkdir(parents=True)
    kept = {name: value for name, value in os.environ.items() if not name.startswith(_ELSEWHERE)}
    home, temporary = str(folder), str(folder / "temporary")
    return kept | {"HOME": home, "USERPROFILE": home, "APPDATA": home, "LOCALAPPDATA": home,
                   "TMPDIR": temporary, "TEMP": temporary, "TMP": temporary}  # fmt: skip


def files(*folders: Path) -> list[Path]:
    """Return all files in folders and below."""
    return sorted(path for folder in folders for path in folder.rglob("*") if not path.is_dir())


def is_sound(path: Path) -> bool:
    """Tell whether a file can be played: by its content, whatever it is called."""
    try:
        soundfile.info(path)
    except soundfile.SoundFileError:
        return False
    return True


def holding(paths: list[Path], *texts: str) -> list[tuple[str, str]]:
    """Return which files hold which texts, in whatever case."""
    contents = {path: path.read_bytes().lower() for path in paths}
    return [(path.name, text) for path, content in contents.items() for text in texts
            if text.lower().encode() in content]  # fmt: skip


def open_to_others(*folders: Path) -> list[str]:
    """Return the files and folders, these folders included, that others than their owner may read, write or enter."""
    every = [path for folder in folders for path in (folder, *folder.rglob("*"))]
    return [str(path) for path in every if stat.S_IMODE(path.stat().st_mode) & 0o077]
