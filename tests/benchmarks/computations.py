"""Prints a table of all that can be worked out: the formula's source, its range, its checks and its largest deviation.

python -m tests.benchmarks.computations > assistant/core/compute/README.md
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from assistant.core.compute.calculation import SUBJECTS, Calculation
from assistant.core.compute.work_out import CALCULATIONS
from tests.published import Check, Mark, checks

HEAD = """# What can be worked out

Each is a pure function of this folder; `work_out.py` names them all, `calculation.py` says what a computation declares,
`given.py` reads what a person typed or said, `result.py` is what comes out. A person reaches them with
`assistant work-out`; a job uses some of them directly (`core/facts.py`).

The checks are data, in `tests/core/compute/published/`: what was given, what is printed, how far it may be off, and
where it is printed. "Outside" counts those that somebody else published, or that a general library by other hands gave;
"by hand" those that were only worked out from the formula. "Off" is the largest deviation from an outside number in
percent of that number, or in kelvin; a dash means that words, not numbers, are compared. This page is written by
`python -m tests.benchmarks.computations`.
"""


def lines() -> Iterator[str]:
    """Yield the page, line by line."""
    yield HEAD
    every = checks()
    for key, title in SUBJECTS.items():
        mine = [each for each in CALCULATIONS.values() if each.subject == key]
        yield f"## {title}\n"
        yield "| `work-out` | formula | source | holds for | outside | by hand | off |\n|---|---|---|---|---|---|---|"
        for each in mine:
            yield _row(each, [check for check in every if check.of == each.name])
        yield ""


def _row(each: Calculation, mine: list[Check]) -> str:
    outside = [check for check in mine if check.mark in (Mark.PUBLISHED, Mark.LIBRARY)]
    cells = (
        f"`{each.name}`: {each.title}", each.formula, each.source, each.valid,
        str(len(outside)), str(len(mine) - len(outside)), _largest(outside),
    )  # fmt: skip
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _largest(outside: list[Check]) -> str:
    off = [(share, unit) for check in outside for share, unit in check.errors() if isfinite(share)]
    if not off:
        return "–"
    share, unit = max(off)
    return f"{share:.2g} {unit}"


if __name__ == "__main__":
    print("\n".join(lines()).rstrip())
