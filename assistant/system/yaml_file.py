"""Reads a YAML file, with the lines of all that it holds."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from assistant.core.errors import DataError
from assistant.system import strict_yaml
from assistant.system.plain_file import read_text, short


def parsed(path: Path) -> tuple[Any, yaml.Node | None]:
    """Return what a YAML file holds, and its nodes with their lines; DataError names the file and the line."""
    text = read_text(path)
    try:
        return strict_yaml.read(text)
    except strict_yaml.UNFIT as error:
        mark = getattr(error, "problem_mark", None)
        line = f", line {mark.line + 1}" if mark else ""
        why = getattr(error, "problem", None) or getattr(error, "reason", None) or error
        raise DataError(f"{path}{line}: it is no YAML that can be used: {short(why)}") from error
