"""Prints how long a start takes with a job of 10,000 facts, and a list and a new job beside 50 jobs of 500.

    python -m tests.benchmarks.long_journal [--facts 10000] [--jobs 50] [--each 500]

Times are to the first reply, without engines, voice and the loading of the program's modules: what grows with the
journal. The smallest of five is taken, as other work of the machine only adds to it; the processor's own time stands
beside it. The bound is one second for one long job, and twice that beside many, as all of them are read.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from assistant import wiring
from assistant.commands.arguments import parser
from assistant.commands.job_list import listed
from assistant.commands.run import Run
from tests.benchmarks.long_run import CAR, JOB
from tests.long_job import write_jobs

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
BOUND, BESIDE_MANY = 1.0, 2.0
"""So long it may take with one long job, and beside many [second of the processor]."""
TIMES = 5


def written(data: Path, jobs: int, facts: int) -> Path:
    """Return a data folder with so many unfinished jobs of so many facts."""
    library, store = wiring.library(data), wiring.journal(data)
    write_jobs(store, library.job(JOB), library.vehicle(CAR), AT, jobs, facts)
    store.close()
    return data


def begun(data: Path, *words: str) -> None:
    """Begin or take up a job as the command does, up to its first reply."""
    options = parser().parse_args(["run", *words, "--data", str(data), "--typed", "--silent"])
    desk, _ = Run(options, data, lambda text: None, lambda text: None).begun()
    wiring.close(desk)


def took(what: Callable[[], object]) -> tuple[float, float]:
    """Return the least of the times that something took, and of the processor's [second]."""
    both = []
    for _ in range(TIMES):
        began, worked = time.perf_counter(), time.process_time()
        what()
        both.append((time.perf_counter() - began, time.process_time() - worked))
    return min(wall for wall, _ in both), min(own for _, own in both)


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--facts", type=int, default=10_000)
    options.add_argument("--jobs", type=int, default=50)
    options.add_argument("--each", type=int, default=500)
    given = options.parse_args()
    broken = False
    print("| what | seconds | of the processor |\n|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        one = [written(Path(folder) / str(facts), 1, facts) for facts in (10, given.facts // 10, given.facts)]
        many = written(Path(folder) / "many", given.jobs, given.each)
        beside = f"beside {given.jobs} of {given.each} facts"
        rows: dict[str, Callable[[], object]] = {
            f"a job of {data.name} facts is taken up": lambda data=data: begun(data, "--resume")  # type: ignore[misc]
            for data in one
        }
        rows |= {
            f"all jobs are listed, {beside}": lambda: listed(many, lambda text: None, every=False),
            f"one of them is taken up, {beside}": lambda: begun(many, "--resume"),
            f"a job is begun, {beside}": lambda: begun(many, JOB, "--vehicle", CAR),
        }
        for name, what in rows.items():
            wall, own = took(what)
            broken = broken or own > (BESIDE_MANY if beside in name else BOUND)
            print(f"| {name} | {wall:.2f} | {own:.2f} |", flush=True)
    print("BROKEN" if broken else "holds", f": one long job under {BOUND:g} s, beside many under {BESIDE_MANY:g} s")
    return int(broken)


if __name__ == "__main__":
    sys.exit(main())
