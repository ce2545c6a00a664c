"""Prints how a walk grows with the steps, parts, choices and loops of a job, on invented jobs.

python -m tests.benchmarks.growth [--back 3]
"""

from __future__ import annotations

import argparse
import time

from assistant.core.proof.explore import explore
from tests.synthetic import CAR, synthetic

SIZES = (2, 4, 8, 16)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--back", type=int, default=3)
    parser.add_argument("--most", type=int, default=60_000)
    options = parser.parse_args()
    print(f"{'':10}{''.join(f'{size:>24}' for size in SIZES)}")
    for what in ("steps", "parts", "choices", "loops"):
        cells = []
        for size in SIZES:
            began = time.process_time()
            report = explore(
                synthetic(**{"steps": 2, what: size}), CAR, loops=int(what == "loops"), back=options.back,
                most=options.most,
            )  # fmt: skip
            given_up = " given up" if any("given up" in line for line in report.broken) else ""
            cells.append(f"{report.states} states, {time.process_time() - began:.1f} s{given_up}")
        print(f"{what:10}{''.join(f'{cell:>24}' for cell in cells)}", flush=True)


if __name__ == "__main__":
    main()
