"""The chain of a job's facts: each carries a checksum over itself and the one before it, so that a change shows.

It finds what accident does to a file: a flipped bit, a lost end, a row that is missing, moved or doubled. It is no
signature: who knows how it is made can make it anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

START = b""
"""What stands before the first fact."""
_written = json.JSONEncoder(default=repr).encode  # made once: a job of thousands of facts is checked at a start


@dataclass(frozen=True, slots=True)
class Row:
    """A fact as it is kept. After a fault in the file any field may hold anything."""

    job: str
    number: int
    """Running number within the job, from 1."""
    place: int
    """Running number among the facts of all jobs, from 1, in the order in which they were written."""
    at: int
    """Microseconds since 1970 in UTC."""
    offset: int
    """Local time less UTC [second], for showing."""
    form: int
    """Which form the fact has (`older_forms.py`)."""
    kind: str
    body: str
    seal: bytes = START


@dataclass(frozen=True, slots=True)
class Head:
    """The last fact of a job as it was noted beside the facts, so that a lost end shows."""

    number: int
    seal: bytes


@dataclass(frozen=True, slots=True)
class Damage:
    """From where on a job can't be believed, and why."""

    job: str
    number: int
    """The first fact that can't be believed."""
    why: str
    lost: int
    """How many facts can't be believed or are missing, as far as that is known."""

    def __str__(self) -> str:
        return f"fact {self.number} of the job {self.job}: {self.why}"


def seal(row: Row, before: bytes) -> bytes:
    """Return the checksum of a fact: SHA-256 over all its fields and the checksum before it."""
    return hashlib.sha256(_written(_covered(row, before)).encode()).digest()


def _covered(row: Row, before: Any) -> list[Any]:
    known = before.hex() if isinstance(before, bytes) else before
    return [known, row.job, row.number, row.place, row.at, row.offset, row.form, row.kind, row.body]


def believed(job: str, rows: Sequence[Row], head: Head | None) -> tuple[int, Damage | None]:
    """Return how many facts from the first on can be believed, and what is wrong after them.

    The rows come in the order of their numbers.
    """
    before = START
    noted = head.number if head and isinstance(head.number, int) else 0
    for good, row in enumerate(rows):
        if why := _fault(row, good + 1, before):
            return good, Damage(job, good + 1, why, max(len(rows), noted) - good)
        before = row.seal
    return _against_head(job, rows, head, before, noted)


def _fault(row: Row, number: int, before: bytes) -> str:
    """Return why a fact does not go on from the one before; empty where it does."""
    if row.number != number:
        return "it is missing" if isinstance(row.number, int) and row.number > number else "it stands there twice"
    return "" if row.seal == seal(row, before) else "its checksum does not fit: it was changed, moved or doubled"


def _against_head(
    job: str, rows: Sequence[Row], head: Head | None, last: bytes, noted: int
) -> tuple[int, Damage | None]:
    good = len(rows)
    if head and (head.number, head.seal) == (good, last):
        return good, None
    if noted > good:
        return good, Damage(job, good + 1, "the end of the job is missing", noted - good)
    if head and 0 < noted < good and rows[noted - 1].seal == head.seal:
        return noted, Damage(job, noted + 1, "it was added by something else", good - noted)
    return good, Damage(job, good + 1, "nothing tells how many facts there were: the end may be missing", 0)
