"""Prints how every job comes to its end on every vehicle, and on each without any one of its values and notes.

    python -m tests.benchmarks.walks [--ways 2] [--seeds 4] [--turns 400]

It answers by what each reply says that may be said, with the first answer, and `--ways` more times with another one
first; then, for each seed, it says anything at all. It takes some seconds for each line of its table.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from assistant.adapters.library import Library
from assistant.core.data.vehicle import Vehicle
from tests.walker import Record, Straight, Stuck, Wanderer, fits, vehicles, walk


def walks(
    library: Library, ways: int, seeds: int, turns: int
) -> Iterator[tuple[str, str, Vehicle, Callable[[Record], str]]]:
    """Yield what is walked: how, the job, the vehicle, and what chooses the answers."""
    for job in library.jobs():
        for name, car in vehicles(library):
            if fits(job, car):
                yield f"straight on | {job.id} | {name}", job.id, car, Straight()
        for car in library.vehicles():
            if fits(job, car):
                for first in range(1, ways + 1):
                    yield f"way {first} first | {job.id} | {car.id}", job.id, car, Straight(first)
                for seed in range(seeds):
                    yield f"chance {seed} | {job.id} | {car.id}", job.id, car, Wanderer(seed, turns)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--ways", type=int, default=2)
    parser.add_argument("--seeds", type=int, default=4)
    parser.add_argument("--turns", type=int, default=400)
    options = parser.parse_args()
    print("| how | job | vehicle | came to | turns | seconds |\n|---|---|---|---|---|---|")
    for name, job, car, choose in walks(Library(), options.ways, options.seeds, options.turns):
        began = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder:
            try:
                found = walk(choose, job, car, Path(folder))
                ended = found.replies[-1]["waiting_for"] if not found.code else found.errors.strip()
                turns = str(len(found.said))
            except Stuck as stuck:
                ended, turns = f"STUCK: {stuck}", "-"
        print(f"| {name} | {ended} | {turns} | {time.perf_counter() - began:.1f} |", flush=True)


if __name__ == "__main__":
    main()
