"""Lifts a file of version 0: facts without checksums, their times as local text, nothing that tells the last fact."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from datetime import UTC, datetime
from itertools import groupby

from assistant.adapters.journal_sqlite import tables
from assistant.core.job.chain import Row

FORM = 1
"""The form of all facts in such a file."""
OLD_TABLE = """
create table facts (
    job text not null,
    number integer not null,
    at text not null,
    kind text not null,
    body text not null,
    primary key (job, number)
) without rowid
"""


def lift(base: sqlite3.Connection) -> None:
    """Turn a file of version 0 into one of the present version, within a transaction of the caller's.

    The facts stay as they were written. Jobs and facts are put in the order of their instants; within a job the numbers
    go before a clock that was set back. Facts behind a gap are kept aside, and the job then lacks its end.
    """
    old = base.execute("select job, number, at, kind, body from facts order by job, number").fetchall()
    base.execute("drop table facts")
    tables.make(base)
    jobs = [_rows(job, list(facts)) for job, facts in groupby(old, key=lambda row: str(row[0]))]
    placed = _placed(jobs)
    for rows in jobs:
        good = next((index for index, row in enumerate(rows) if row.number != index + 1), len(rows))
        tables.put_aside(base, rows[good:], "a fact before it is missing")
        if rows[:good]:
            tables.put(base, [placed[row.job, row.number] for row in rows[:good]])
        if rows[good:]:
            lacking = (rows[0].job, rows[-1].number, b"", 0)
            base.execute("insert or replace into heads values (?, ?, ?, ?)", lacking)


def _rows(job: str, facts: list[tuple[str, int, str, str, str]]) -> list[Row]:
    """Return the facts of a job; a time that can't be read is that of the fact before."""
    rows: list[Row] = []
    at = tables.instant(datetime(1970, 1, 1, tzinfo=UTC))
    for _, number, text, kind, body in facts:
        with suppress(ValueError, TypeError):
            at = tables.instant(datetime.fromisoformat(text))
        rows.append(Row(job, number, 0, *at, FORM, kind, body))
    return rows


def _placed(jobs: list[list[Row]]) -> dict[tuple[str, int], Row]:
    """Return all facts by job and number, each with its place among all."""
    timed: list[tuple[int, Row]] = []
    for rows in jobs:
        latest = rows[0].at
        for row in rows:
            latest = max(latest, row.at)
            timed.append((latest, row))
    ordered = sorted(timed, key=lambda item: item[0])
    return {
        (row.job, row.number): Row(row.job, row.number, place, row.at, row.offset, row.form, row.kind, row.body)
        for place, (_, row) in enumerate(ordered, 1)
    }
