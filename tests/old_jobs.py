"""Jobs as older versions of the program wrote them: the samples under `core/older_forms/`, on an invented car."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

from assistant.adapters.journal_sqlite import tables
from assistant.core.job.chain import Row
from assistant.core.job.events import Event, Recorded, decode

FOLDER = Path(__file__).parent / "core" / "job" / "older_forms"
SAMPLES = tuple(sorted(file.stem for file in FOLDER.glob("*.jsonl")))


def lines(sample: str) -> list[dict[str, str]]:
    """Return the facts of a sample as they were written; those that do not say their form have the first."""
    return [json.loads(line) for line in (FOLDER / f"{sample}.jsonl").read_text(encoding="utf-8").splitlines()]


def recorded(sample: str) -> tuple[Recorded, ...]:
    """Return the facts of a sample as they are read today."""
    return tuple(
        Recorded("old", int(line["number"]), datetime.fromisoformat(line["at"]), _fact(line)) for line in lines(sample)
    )


def form_of(line: dict[str, str]) -> int:
    """Return the form of a fact in a sample: 1, where facts did not carry it yet."""
    return int(line.get("form", 1))


def _fact(line: dict[str, str]) -> Event:
    return decode(line["kind"], line["body"], form_of(line))


def rows(sample: str, job: str = "old", place: int = 1) -> list[Row]:
    """Return the facts of a sample as a lifted journal holds them."""
    return [
        Row(job, int(line["number"]), place + index, *tables.instant(datetime.fromisoformat(line["at"])), form_of(line),
            line["kind"], line["body"])
        for index, line in enumerate(lines(sample))
    ]  # fmt: skip
