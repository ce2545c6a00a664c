"""Every computation against what others have printed. The checks and their sources are in `published/*.yaml`."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.core import compute
from assistant.core.compute.calculation import SUBJECTS
from assistant.core.compute.work_out import CALCULATIONS
from tests.benchmarks.computations import lines
from tests.published import Check, Mark, checks

FEWEST = 10
OUTSIDE = (Mark.PUBLISHED, Mark.LIBRARY)


SOURCED = [
    name for name, each in CALCULATIONS.items() if "no source" not in each.source and "arithmetic" not in each.source
]
"""Arithmetic is checked by hand and by its properties; what is common practice says so to the person."""


@pytest.mark.parametrize("check", checks(), ids=str)
def test_what_is_printed_comes_out(check: Check) -> None:
    for name, value, printed, off in check.deviations():
        assert off <= 1, f"{name}: {value} where {check.source} has {printed}"


@pytest.mark.parametrize("name", SOURCED)
def test_every_computation_has_a_check_from_outside(name: str) -> None:
    assert any(check.of == name and check.mark in OUTSIDE for check in checks())


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_subject_has_ten_checks_from_outside(subject: str) -> None:
    of_subject = [check for check in checks() if CALCULATIONS[check.of].subject == subject and check.mark in OUTSIDE]
    assert len(of_subject) >= FEWEST


def test_the_page_that_lists_the_computations_is_up_to_date() -> None:
    page = (Path(compute.__file__).parent / "README.md").read_text(encoding="utf-8")
    assert page.rstrip() == "\n".join(lines()).rstrip(), "python -m tests.benchmarks.computations writes it anew"
