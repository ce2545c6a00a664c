"""Draws how the threshold of acceptance trades what is taken right against what is taken wrong.

    python -m tests.benchmarks.hearing --heard heard.jsonl
    python -m tests.benchmarks.curve heard.jsonl tests/benchmarks/curve.svg

Needs the package matplotlib. A sound counts as taken at a threshold where its best phrase scored at least that,
whether by the first engine alone or by all together.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np

from assistant.adapters.library import match_settings

NAMES = {None: "quiet", 10: "10 dB", 0: "0 dB"}


def shares(rows: list[dict[str, Any]], threshold: float) -> tuple[float, float]:
    """Return the shares that are not taken right, and that are taken wrong, at a threshold [percent]."""
    right = wrong = 0
    for row in rows:
        taken = any(found["verdict"] == "accepted" and found["score"] >= threshold for found in row["found"])
        right += taken and row["came"] == "right"
        wrong += taken and row["came"] == "wrong"
    return 100 * (1 - right / len(rows)), 100 * wrong / len(rows)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("heard", type=Path, help="what tests.benchmarks.hearing kept")
    parser.add_argument("picture", type=Path, help="where the picture goes, for instance curve.svg")
    options = parser.parse_args()
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "curve"  # the same data give the same file
    from matplotlib import pyplot

    rows = [json.loads(line) for line in options.heard.read_text(encoding="utf-8").splitlines()]
    likely = match_settings().likely
    lowest = min(likely.accept, likely.together)
    figure, axes = pyplot.subplots(figsize=(6, 4))
    for decibels, name in NAMES.items():
        mine = [row for row in rows if row["db"] == decibels]
        curve = np.array([shares(mine, threshold) for threshold in np.linspace(-0.05, lowest, 60)])
        axes.plot(curve[:, 1], curve[:, 0], label=f"{name}, {len(mine)} sounds")
        axes.plot(*shares(mine, lowest)[::-1], "ko", markersize=4)
    axes.set(xlabel="taken wrong [%]", ylabel="not taken right: asked again, left alone, wrong [%]", ylim=(0, 100))
    axes.set_title(f"Thresholds of acceptance from -0.05 to {lowest:g} (dots: as they are set)", fontsize=10)
    axes.grid(alpha=0.3)
    axes.legend()
    figure.tight_layout()
    figure.savefig(options.picture, metadata={"Date": None})


if __name__ == "__main__":
    main()
