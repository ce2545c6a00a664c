"""The command `list`: shows the jobs, the vehicles, or the steps of a job. Prints nothing."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from pathlib import Path

from assistant import wiring
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError
from assistant.system.ending import USAGE


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """List what the options name, and return the exit code; a file that is wrong is left out, and noted."""
    shelf = wiring.library(data)
    if options.what == "steps":
        if not options.job:
            raise DataError(f"say whose steps, with --job JOB. Jobs: {', '.join(job.id for job in shelf.jobs())}.")
        show(_listed(shelf.job(options.job).steps, as_json=options.json))
        return 0
    wrong: list[DataError] = []
    items = shelf.jobs(wrong.append) if options.what == "jobs" else shelf.vehicles(wrong.append)
    show(_listed(items, as_json=options.json))
    for error in wrong:
        note(f"left out: {error}")
    return USAGE if wrong else 0


def _listed(items: Sequence[Procedure | Vehicle | Step], *, as_json: bool) -> str:
    pairs = [{"id": item.id, "title": item.title} for item in items]
    if as_json:
        return json.dumps(pairs, ensure_ascii=False)
    return "\n".join(f"{pair['id']}: {pair['title']}" for pair in pairs)
