"""Reads a grammar from a JSGF file, in the encoding that its first line names. Never reads another file for it."""

from __future__ import annotations

import re
from pathlib import Path

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Grammar, parse_grammar
from assistant.system.plain_file import read_plain

_HEADER = re.compile(rb"(?:\xef\xbb\xbf)?\s*#JSGF\s+V[0-9.]+\s+([\w.-]+)[^;\n]*;", re.IGNORECASE)


def read_grammar(path: Path) -> Grammar:
    """Return the grammar in a file; DataError names the file and what is wrong with it."""
    content = read_plain(path)
    header = _HEADER.match(content)
    encoding = header.group(1).decode("ascii", "replace") if header else "UTF-8"
    try:
        text = content.decode(encoding)
    except LookupError as error:
        raise _wrong(f"{path}, line 1: the encoding {encoding!r} is not known; save it as UTF-8") from error
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _wrong(f"{path}, line {line}: it is not written in {encoding}; save it as UTF-8") from error
    return parse_grammar(text, str(path))


def _wrong(why: str) -> DataError:
    return DataError(why, say="The grammar can't be read. See the screen.")
