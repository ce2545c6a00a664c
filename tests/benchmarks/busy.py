"""Hears the same sounds on a free machine and beside processes that spin, and prints how much of it was right.

    python -m tests.benchmarks.busy [--part orders|commands] [--count 60] [--db 6] [--spinning 4]

Sounds are as in `hearing.py`. Each is heard once free and once beside the spinning processes, one after the other, so
that what else the machine does meets both alike.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from itertools import cycle, islice
from pathlib import Path

import numpy as np

from assistant import wiring
from assistant.core.types import RATE
from tests.benchmarks.hearing import HEADER, Bench, Row, spoken
from tests.benchmarks.sayings import Saying, oil_job, orders
from tests.spinning import beside


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--part", choices=("commands", "orders"), default="orders")
    parser.add_argument("--count", type=int, default=60, help="how many sounds")
    parser.add_argument("--db", type=float, default=6.0, help="ratio of speech to noise [decibel]")
    parser.add_argument("--spinning", type=int, default=4, help="how many processes spin")
    options = parser.parse_args()
    library = wiring.library(Path())
    if options.part == "orders":
        sayings, rules = orders(options.count)
    else:
        sayings, rules = list(islice(cycle(oil_job(library, 10_000)), options.count)), library.rules()
    bench = Bench(rules, None)
    for _ in bench.listen(np.zeros(RATE, np.float32), sayings[0].phrases):
        pass  # what is loaded late delays no verdict
    bench.ears.waited_for = True
    print(HEADER)
    for row, took in heard(bench, sayings, options):
        row.began = time.perf_counter() - sum(took)
        print(row, f"  at most {max(took):.1f} s for a sound, {np.mean(took):.1f} at the mean")
    for fault in bench.ears.faults:
        print(f"an engine was left out for a time: {fault}")
    bench.ears.close()


def heard(bench: Bench, sayings: Sequence[Saying], options: argparse.Namespace) -> list[tuple[Row, list[float]]]:
    """Return the row of the free machine and that of the busy one, each with the time that each sound took [second]."""
    rows: list[tuple[Row, list[float]]] = [(Row("free"), []), (Row(f"beside {options.spinning} that spin"), [])]
    for number, (saying, sound, known) in enumerate(spoken(sayings, options.db), 1):
        for (row, took), spinning in zip(rows, (0, options.spinning), strict=True):
            with beside(spinning):
                began = time.perf_counter()
                bench.judge(row, saying, sound, known)
                took.append(time.perf_counter() - began)
            for text in bench.ears.warnings:
                print(f"    {number}, {row.name}: {text}", flush=True)
            bench.ears.warnings.clear()
        print(f"{number} of {options.count}", file=sys.stderr, flush=True)
    return rows


if __name__ == "__main__":
    main()
