"""The chain of checksums: what of a job is believed after any one change to it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.core.job.chain import START, Head, Row, believed, seal

pytestmark = pytest.mark.pure


def chained(count: int) -> tuple[list[Row], Head]:
    rows: list[Row] = []
    before = START
    for number in range(1, count + 1):
        row = Row("job", number, number + 7, 1_000_000 * number, 3600, 2, "StepDone", f'{{"step":"{number}"}}')
        before = seal(row, before)
        rows.append(replace(row, seal=before))
    return rows, Head(count, before)


def test_an_untouched_job_is_believed_whole() -> None:
    rows, head = chained(9)
    assert believed("job", rows, head) == (9, None)


@pytest.mark.parametrize("place", range(9))
@pytest.mark.parametrize(
    "change",
    [
        {"job": "other"}, {"number": 70}, {"place": 1}, {"at": 0}, {"at": None}, {"offset": 0}, {"form": 1},
        {"kind": "StepSkipped"}, {"body": '{"step":"x"}'}, {"body": b"\xff"}, {"seal": b"\0" * 32}, {"seal": None},
    ],
)  # fmt: skip
def test_a_change_of_any_field_of_any_fact_ends_what_is_believed_before_it(place: int, change: dict[str, Any]) -> None:
    rows, head = chained(9)
    rows[place] = replace(rows[place], **change)
    good, damage = believed("job", rows, head)
    assert good == place
    assert damage
    assert (damage.number, damage.lost) == (place + 1, 9 - place) or change == {"number": 70}


@pytest.mark.parametrize("place", range(9))
def test_a_missing_a_moved_and_a_doubled_fact_are_found(place: int) -> None:
    rows, head = chained(9)
    missing = rows[:place] + rows[place + 1 :]
    moved = [*missing, replace(rows[place], number=10)]
    doubled = rows[: place + 1] + [replace(row, number=row.number + 1) for row in rows[place:]]
    for changed, first in ((missing, place + 1), (moved, place + 1), (doubled, place + 2)):
        _, damage = believed("job", changed, head)
        assert damage
        assert damage.number == first


def test_a_lost_end_is_found_by_the_note_of_the_last_fact() -> None:
    rows, head = chained(9)
    for kept in range(9):
        good, damage = believed("job", rows[:kept], head)
        assert good == kept
        assert damage
        assert (damage.number, damage.lost) == (kept + 1, 9 - kept)


def test_what_was_added_behind_the_note_is_not_believed_and_a_lost_note_leaves_the_end_unsure() -> None:
    rows, _ = chained(9)
    good, damage = believed("job", rows, Head(7, rows[6].seal))
    assert (good, damage and damage.why) == (7, "it was added by something else")
    for note in (None, Head(9, b"?"), Head(0, START)):
        good, damage = believed("job", rows, note)
        assert good == 9
        assert damage
        assert "may be missing" in damage.why
