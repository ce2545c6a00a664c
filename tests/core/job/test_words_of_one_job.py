"""Deciding and answering know no word of one job: what is said of a fluid, a gauge or the vehicle comes from data."""

from __future__ import annotations

import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.core import job, reply

WORDS = re.compile(r"(?<![a-z])(oil|dipstick|odometer|car)s?(?![a-z])", re.IGNORECASE)
OLDER = {"older_forms.py"}
"""What lifts facts of older forms has to know how they were written."""
FILES = [file for package in (job, reply) for file in sorted(Path(package.__path__[0]).rglob("*.py"))
         if file.name not in OLDER]  # fmt: skip


def words_in(source: Path) -> Iterator[str]:
    """Yield the names and texts of a file that hold such a word; imports name files, and comments are for people."""
    begins, imports = True, False
    with source.open("rb") as lines:
        for token in tokenize.tokenize(lines.readline):
            if begins:
                imports = token.string in ("from", "import")
            doc = begins and token.type == tokenize.STRING
            begins = token.type in (tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING) or (
                begins and token.type in (tokenize.NL, tokenize.COMMENT)
            )
            told = token.type in (tokenize.NAME, tokenize.STRING) or token.string.startswith(("f'", 'f"'))
            if told and not imports and not doc and WORDS.search(token.string.replace("_", " ")):
                yield f"{source.name}, line {token.start[0]}: {token.string}"


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_no_word_of_one_job_is_left(file: Path) -> None:
    assert not list(words_in(file))


def test_such_a_word_is_found(tmp_path: Path) -> None:
    file = tmp_path / "some.py"
    lines = ['"""Of oil."""', "from data.car import Act", "def oil_level(step):", '    """Of a car."""']
    file.write_text("\n".join([*lines, '    return f"in the car"', ""]), encoding="utf-8")
    assert [line.rpartition(": ")[2] for line in words_in(file)][:1] == ["oil_level"]
    assert len(list(words_in(file))) == 2
