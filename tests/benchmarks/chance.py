"""Prints what talk by chance finds: every promise held against every turn, on every vehicle, with and without values.

python -m tests.benchmarks.chance [--turns 1000000]
"""

from __future__ import annotations

import argparse
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import product

from assistant.adapters.library import Library
from assistant.core.proof.explore import Report, walk
from tests.chance import turns

EACH = 10_000
LACKS = ((), ("drain-plug-torque", "oil-capacity", "mass"), ("dipstick-span", "interval-time"))


def one(seed: int, vehicle: str, lacks: tuple[str, ...]) -> Report:
    """Return what one talk finds."""
    library = Library()
    job, car = library.job("oil-and-filter"), library.vehicle(vehicle)
    values = {name: spec for name, spec in car.values.items() if name not in lacks}
    return walk(job, car.model_copy(update={"values": values}), turns(job, seed, EACH))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--turns", type=int, default=1_000_000)
    options = parser.parse_args()
    began, kinds = time.perf_counter(), [*product([car.id for car in Library().vehicles()], LACKS)]
    talks = [(seed, *kinds[seed % len(kinds)]) for seed in range(-(-options.turns // EACH))]
    with ProcessPoolExecutor() as pool:
        reports = [*pool.map(one, *zip(*talks, strict=True))]
    turned, states, finished = (sum(getattr(one, what) for one in reports) for what in ("moves", "states", "finished"))
    broken = sum(len(report.broken) for report in reports)
    print(
        f"{turned} turns in {len(reports)} talks, {states} states, {finished} jobs finished, {broken} promises broken"
    )
    print(f"{time.perf_counter() - began:.0f} s")
    for fault in sorted({line for report in reports for line in report.broken}):
        print(f"- {fault}")


if __name__ == "__main__":
    main()
