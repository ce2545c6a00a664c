"""Draws how the probability from which a phrase is taken trades what is taken right against what is taken wrong.

    python -m tests.benchmarks.evidence heard.jsonl commands
    python -m tests.benchmarks.curve heard.jsonl ... tests/benchmarks/curve.svg

Needs the package matplotlib. Only where all engines are asked does the probability decide: where a curve ends, the
first engine alone was believed. The sounds are those that the weights were fitted on.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from assistant.adapters.library import match_settings
from tests.benchmarks.fit_likely import Case, cases, judged

STEPS, MOST = 19, 0.95
"""So many steps up to that probability; from 1 on nothing is taken where all are asked."""


def shares(heard: Sequence[Case], sure: float) -> tuple[float, float]:
    """Return the shares that are taken wrong, and that are not taken right, from a probability on [percent]."""
    settings = replace(match_settings().likely, sure=sure)
    came = Counter(judged(case, settings) for case in heard)
    return 100 * came["wrong"] / len(heard), 100 * (1 - came["right"] / len(heard))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, nargs="+", help="what tests.benchmarks.evidence kept of what was meant")
    parser.add_argument("picture", type=Path, help="where the picture goes, for instance curve.svg")
    options = parser.parse_args()
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "curve"  # the same data give the same file
    from matplotlib import pyplot

    heard, usual = cases(options.heard), match_settings().likely.sure
    figure, axes = pyplot.subplots(figsize=(6, 4))
    for kind in dict.fromkeys(case.kind for case in heard):
        mine = [case for case in heard if case.kind == kind]
        curve = np.array([shares(mine, sure) for sure in np.linspace(0, MOST, STEPS + 1)])
        axes.plot(curve[:, 0], curve[:, 1], label=f"{kind}, {len(mine)} sounds")
        axes.plot(*shares(mine, usual), "ko", markersize=4)
    axes.set(xlabel="taken wrong [%]", ylabel="not taken right: asked again, left alone, wrong [%]", ylim=(0, None))
    axes.set_title(f"Taken from a probability of 0 to {MOST:g} on (dots: {usual:g}, as it is set)", fontsize=10)
    axes.grid(alpha=0.3)
    axes.legend()
    figure.tight_layout()
    figure.savefig(options.picture, metadata={"Date": None})


if __name__ == "__main__":
    main()
