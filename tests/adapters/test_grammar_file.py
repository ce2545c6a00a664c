"""Checks that a grammar is read in the encoding that it names, and that what can't be read says why."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.grammar_file import read_grammar
from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Node

# Section 3.1 of the W3C note "JSpeech Grammar Format" (2000): the first line names the encoding and the language.
HEADERS = [
    ("#JSGF V1.0;", "utf-8"), ("#JSGF V1.0 UTF-8 en;", "utf-8"), ("#JSGF V1.0 ISO8859-1 en;", "iso8859-1"),
    ("#JSGF V1.0 ISO8859-5;", "iso8859-5"), ("\ufeff#JSGF V1.0 utf-8;", "utf-8"), ("", "utf-8"),
]  # fmt: skip


@pytest.mark.parametrize(("header", "encoding"), HEADERS)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_grammar_is_read_in_the_encoding_that_it_names(tmp_path: Path, header: str, encoding: str, end: str) -> None:
    word = "чай" if encoding == "iso8859-5" else "café"
    file = tmp_path / "g.jsgf"
    file.write_bytes(end.join((header, "grammar g;", f"public <order> = {word};", "")).encode(encoding))
    grammar = read_grammar(file)
    assert grammar.public == ("order",)
    assert grammar.rules["order"] == Node("word", word)


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"#JSGF V1.0 nonsense-8;\npublic <a> = b;", "line 1: the encoding 'nonsense-8' is not known"),
        (b"#JSGF V1.0;\n\npublic <a> = caf\xe9;", "line 3: it is not written in UTF-8"),
        (b"steps:\n  - id: one\n", "line 1: a rule such as <name> is wanted"),
        (b"\x00\x01", "line 1"),
    ],
)
def test_what_is_wrong_with_a_file_is_said(tmp_path: Path, content: bytes, fault: str) -> None:
    file = tmp_path / "g.jsgf"
    file.write_bytes(content)
    with pytest.raises(DataError, match=fault) as caught:
        read_grammar(file)
    assert str(file) in str(caught.value)
    assert len(caught.value.say.split()) <= 15


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="check its name and folder"):
        read_grammar(tmp_path / "no.jsgf")
    with pytest.raises(DataError, match="can't be read"):
        read_grammar(tmp_path)
