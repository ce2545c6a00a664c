"""Prints a table of all that can be worked out: the formula's source, its range, its checks and its largest deviation.

python -m tests.benchmarks.computations > assistant/core/compute/README.md
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from assistant.core.compute.base.calculation import SUBJECTS, Calculation
from assistant.core.compute.work_out import CALCULATIONS
from tests.published import OUTSIDE, Check, Mark, checks

HEAD = """# What can be worked out

Each is a pure function of this folder; `work_out.py` names them all, `calculation.py` says what a computation declares,
`given.py` reads what a person typed or said, `result.py` is what comes out. A person reaches them with
`assistant work-out`; a job names them under `computed` (`core/job/worked.py`).

The checks are data, in `tests/core/compute/published/`: what was given, what must come out, how far it may be off, and
where that is from. "Outside" counts those whose number stands in print, or that a general library by other hands gave;
"copied" those from the very page that the program's own table is from; "by hand" those that were worked out from a
published rule; the rest is from memory. "Off" is the largest deviation from an outside number in percent of that
number, or in kelvin; a dash means that there is none, or that words are compared. This page is written by
`python -m tests.benchmarks.computations`.
"""


def lines() -> Iterator[str]:
    """Yield the page, line by line."""
    yield HEAD
    every = checks()
    yield from _by_subject(every)
    for key, title in SUBJECTS.items():
        mine = [each for each in CALCULATIONS.values() if each.subject == key]
        yield f"## {title}\n"
        yield "| `work-out` | formula | source | holds for | outside | copied | by hand | off |\n" + "|---" * 8 + "|"
        for each in mine:
            yield _row(each, [check for check in every if check.of == each.name])
        yield ""


def _by_subject(every: Sequence[Check]) -> Iterator[str]:
    """Yield a table of the checks by subject and kind, and the largest deviation from those from outside."""
    yield "| subject | " + " | ".join(Mark) + " | off |\n" + "|---" * (len(Mark) + 2) + "|"
    for key, title in SUBJECTS.items():
        mine = [check for check in every if CALCULATIONS[check.of].subject == key]
        outside = [check for check in mine if check.mark in OUTSIDE]
        yield f"| {title} | " + " | ".join(_count(mine, mark) for mark in Mark) + f" | {_largest(outside)} |"
    yield ""


def _count(mine: Sequence[Check], mark: Mark) -> str:
    return str(sum(check.mark is mark for check in mine))


def _row(each: Calculation, mine: list[Check]) -> str:
    outside = [check for check in mine if check.mark in OUTSIDE]
    cells = (
        f"`{each.name}`: {each.title}", each.formula, each.source, each.valid,
        str(len(outside)), _count(mine, Mark.COPIED), _count(mine, Mark.DERIVED), _largest(outside),
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
