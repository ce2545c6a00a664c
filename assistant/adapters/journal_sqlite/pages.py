"""Finds rows in the pages of a SQLite file without its tree, by the file format that SQLite publishes.

Where a page is damaged, the rows of all others are still there; which of them can be believed, the chain tells. Rows
that were removed long ago may come too.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

Field = str | bytes | int | float | None

PAGE = 4096
"""Bytes of a page, in every journal."""
_TABLE_LEAF, _INDEX_LEAF, _INDEX_INNER = 0x0D, 0x0A, 0x02
_HEADER = {_TABLE_LEAF: 8, _INDEX_LEAF: 8, _INDEX_INNER: 12}
_WHOLE = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
"""Bytes of whole numbers by their type."""


def rows_in(content: bytes) -> Iterator[tuple[Field, ...]]:
    """Yield every row that can be read from any page, whatever table it is of."""
    for start in range(0, len(content), PAGE):
        page = content[start : start + PAGE].ljust(PAGE, b"\x00")
        head = 100 if start == 0 else 0  # the first page begins with the header of the file
        kind = page[head]
        if kind not in _HEADER:
            continue
        cells = head + _HEADER[kind]
        for place in range(cells, cells + 2 * _number(page[head + 3 : head + 5]), 2):
            with suppress(IndexError, ValueError):
                yield _row(content, page, _number(page[place : place + 2]), kind)


def _row(content: bytes, page: bytes, place: int, kind: int) -> tuple[Field, ...]:
    place += 4 if kind == _INDEX_INNER else 0  # the page below
    size, place = _varint(page, place)
    if kind == _TABLE_LEAF:
        _, place = _varint(page, place)  # the row's number
    here = _local(size, kind)
    if not 0 < size <= len(content) or place + here > PAGE:
        raise ValueError("no row")
    payload = page[place : place + here]
    if here < size:
        payload += _overflow(content, _number(page[place + here : place + here + 4]), size - here)
    return _fields(payload)


def _local(size: int, kind: int) -> int:
    """Return how much of a row is in its page; the rest is in a chain of others."""
    most = PAGE - 35 if kind == _TABLE_LEAF else (PAGE - 12) * 64 // 255 - 23
    if size <= most:
        return size
    least = (PAGE - 12) * 32 // 255 - 23
    fitting = least + (size - least) % (PAGE - 4)
    return fitting if fitting <= most else least


def _overflow(content: bytes, number: int, left: int) -> bytes:
    found = b""
    while left > 0:
        start = (number - 1) * PAGE
        if number < 1 or start + 4 > len(content):
            raise ValueError("the rest of the row is missing")
        part = content[start + 4 : start + 4 + min(left, PAGE - 4)]
        number = _number(content[start : start + 4])
        left -= max(len(part), 1)
        found += part
    return found


def _fields(payload: bytes) -> tuple[Field, ...]:
    end, place = _varint(payload, 0)
    if end > len(payload):
        raise ValueError("no row")
    types = []
    while place < end:
        kind, place = _varint(payload, place)
        types.append(kind)
    fields = []
    for kind in types:
        width = _width(kind)
        if place + width > len(payload):
            raise ValueError("no row")
        fields.append(_field(kind, payload[place : place + width]))
        place += width
    return tuple(fields)


def _width(kind: int) -> int:
    """Return the bytes of a field by its type."""
    return (kind - 12) // 2 if kind >= 12 else _WHOLE.get(kind, 8 if kind == 7 else 0)


def _field(kind: int, written: bytes) -> Field:
    if kind >= 12:
        return written.decode("utf-8", "surrogateescape") if kind % 2 else written
    if kind in _WHOLE:
        return int.from_bytes(written, "big", signed=True)
    return {8: 0, 9: 1}.get(kind)


def _varint(data: bytes, place: int) -> tuple[int, int]:
    """Return a number of one to nine bytes, and the place after it."""
    number = 0
    for more in range(8):
        byte = data[place + more]
        number = number << 7 | byte & 0x7F
        if byte < 0x80:
            return number, place + more + 1
    return number << 8 | data[place + 8], place + 9


def _number(data: bytes) -> int:
    return int.from_bytes(data, "big")
