"""Walks every state of every job on every vehicle, and prints how many there are and which promises are broken.

    python -m tests.benchmarks.prove [--loops 0] [--back 3] [--most 2000000] [--bare]

`--back` is how often in a row one goes back; from 1000000 on nothing is cut, and it takes hours.
"""

from __future__ import annotations

import argparse
import time
from concurrent.futures import ProcessPoolExecutor

from assistant.adapters.library import Library
from assistant.core.data.procedure import Procedure
from assistant.core.proof.explore import Report, explore

BARE = " without values and notes"
"""Added to the id of a vehicle whose file leaves out all that it may."""


def one(job: str, vehicle: str, loops: int, back: int, most: int) -> tuple[str, Report, float]:
    """Return what a walk finds, and how long it took [second]."""
    library, began = Library(), time.perf_counter()
    car = library.vehicle(vehicle.removesuffix(BARE))
    if vehicle.endswith(BARE):
        car = car.model_copy(update={"values": {}, "notes": {}})
    report = explore(library.job(job), car, loops=loops, back=back, most=most)
    return f"{job}, {vehicle}", report, time.perf_counter() - began


def _unfit(library: Library, job: Procedure, car: str) -> str:
    return job.unfit(library.vehicle(car.removesuffix(BARE)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--loops", type=int, default=0, help="how often a way leads back to an earlier step")
    parser.add_argument("--back", type=int, default=3, help="how often in a row one goes back")
    parser.add_argument("--most", type=int, default=2_000_000, help="so many states at most")
    parser.add_argument("--bare", action="store_true", help="vehicles whose file leaves out all that it may, too")
    options = parser.parse_args()
    library = Library()
    cars = [car.id for car in library.vehicles()]
    cars += [f"{name}{BARE}" for name in cars] if options.bare else []
    pairs = [(job.id, car) for job in library.jobs() for car in cars if not _unfit(library, job, car)]
    with ProcessPoolExecutor(2) as pool:
        asked = [(*pair, options.loops, options.back, options.most) for pair in pairs]
        for name, report, took in pool.map(one, *zip(*asked, strict=True)):
            print(f"{name}: {report.states} states, {report.moves} moves, {report.finished} ends, {took:.0f} s")
            print("\n".join(f"- {line}" for line in report.broken), flush=True)


if __name__ == "__main__":
    main()
