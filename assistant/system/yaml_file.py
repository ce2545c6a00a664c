"""Reads a YAML file, with the places of all that it holds."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import yaml

from assistant.core.proof.rules.every import KEY_TWICE, YAML
from assistant.system import strict_yaml
from assistant.system.faulty_file import Refused, Written, finding
from assistant.system.plain_file import read_text, short

_MEANT = {
    "'\\t'": "a tab stands there: indent with spaces",
    "mapping values are not allowed": "a colon stands where none can be: put a text with a colon between quotation "
    "marks, or indent the line as those beside it",
    "but got '?'": "put the text with the question mark between quotation marks",
    "but got '<scalar>'": "a comma or a quotation mark is missing before it",
    "expected <block end>": "the line is not indented as those beside it",
}
"""What an owner most likely did, by what the reader of YAML says of it."""
_REMARK = re.compile(r"(^|\s)#")


def parsed(path: Path) -> tuple[Any, yaml.Node | None]:
    """Return what a YAML file holds, and its nodes with their places; DataError names the file and the place."""
    text = read_text(path)
    try:
        return strict_yaml.read(text)
    except strict_yaml.UNFIT as error:
        raise _unfit(path, error) from error


def _unfit(path: Path, error: Exception) -> Refused:
    mark = getattr(error, "problem_mark", None)
    why = getattr(error, "problem", None) or getattr(error, "reason", None) or error
    at = Written(short(path), mark.line + 1 if mark else 1, mark.column + 1 if mark else 1, "the whole")
    rule = KEY_TWICE if isinstance(error, strict_yaml.KeyTwice) else YAML
    return Refused(path, [finding(at, rule, f"it is no YAML that can be used: {short(why)}{_meant(str(why))}")])


def _meant(why: str) -> str:
    return next((f"; {meant}" for sign, meant in _MEANT.items() if sign in why), "")


def remarks(path: Path) -> frozenset[int]:
    """Return the lines of a file that carry a remark behind `#`; the first is 1. A sign inside of a text may be taken
    for one."""
    lines = enumerate(read_text(path).splitlines(), 1)
    return frozenset(number for number, line in lines if _REMARK.search(line))
