"""Lines that somebody types, or that a file holds in the place of somebody: as text, one after the other.

What is no text ends the reading with one line that names the place; it is never guessed at.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO, TextIO

from assistant.core.errors import DataError

LONGEST = 120
"""So long may a line be [byte]: longer than anything that is said at once, and understood within a second or two."""


def lines_of(stream: TextIO | None) -> Iterator[tuple[str, str]]:
    """Yield each line that is not empty, stripped, with its place in words.

    DataError for a stream that can't be read, and for a line that is too long, not in UTF-8, or holds a NUL.
    """
    if stream is None or stream.closed:
        raise DataError("standard input is closed: --typed needs lines to read, one utterance each")
    binary: IO[bytes] | None = getattr(stream, "buffer", None)  # a stand-in for standard input may have none
    number = 0
    while raw := _line(binary, stream):
        number += 1
        place = f"standard input, line {number}"
        if text := _text(raw, place):
            yield place, text


def _line(binary: IO[bytes] | None, stream: TextIO) -> bytes:
    try:
        return binary.readline(LONGEST + 1) if binary else stream.readline(LONGEST + 1).encode()
    except (OSError, ValueError) as error:
        raise DataError(f"standard input can't be read: {error}. Give it lines, one utterance each") from error


def _text(raw: bytes, place: str) -> str:
    if len(raw) > LONGEST:
        raise DataError(f"{place}: it is longer than {LONGEST} bytes: write one utterance a line")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DataError(f"{place}: it is not written in UTF-8: save it as UTF-8") from error
    if "\0" in text:
        raise DataError(f"{place}: it holds a NUL, as UTF-16 does: save it as UTF-8")
    return "".join(sign if sign.isprintable() else " " for sign in text).strip()
