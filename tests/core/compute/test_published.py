"""Every computation against what others have printed. The checks and their sources are in `published/*.yaml`."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.core import compute
from assistant.core.compute.base.calculation import SUBJECTS
from assistant.core.compute.work_out import CALCULATIONS
from tests.benchmarks.computations import lines
from tests.published import OUTSIDE, Check, Mark, checks

FEWEST = 10

SOURCED = [
    name for name, each in CALCULATIONS.items() if "no source" not in each.source and "arithmetic" not in each.source
]
"""Arithmetic is checked by hand and by its properties; what is common practice says so to the person."""


@pytest.mark.parametrize("check", checks(), ids=str)
def test_what_is_printed_comes_out(check: Check) -> None:
    for name, value, printed, off in check.deviations():
        assert off <= 1, f"{name}: {value} where {check.source} has {printed}"


@pytest.mark.parametrize("name", SOURCED)
def test_every_computation_with_a_source_is_checked(name: str) -> None:
    assert any(check.of == name and check.mark is not Mark.MEMORY for check in checks())


def test_every_check_says_where_its_number_comes_from() -> None:
    """A place in the source for what is printed, the working for what is not."""
    printed = [check for check in checks() if check.mark in (Mark.PUBLISHED, Mark.COPIED)]
    assert not [str(check) for check in printed if not check.place or check.working]
    assert not [str(check) for check in checks() if check.mark is Mark.DERIVED and not check.working]
    assert not [str(check) for check in printed if re.search("by hand|memory", check.source + check.place)]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_subject_has_ten_checks_from_outside(subject: str) -> None:
    of_subject = [check for check in checks() if CALCULATIONS[check.of].subject == subject and check.mark in OUTSIDE]
    assert len(of_subject) >= FEWEST


def test_the_page_that_lists_the_computations_is_up_to_date() -> None:
    page = (Path(compute.__file__).parent / "README.md").read_text(encoding="utf-8")
    assert page.rstrip() == "\n".join(lines()).rstrip(), "python -m tests.benchmarks.computations writes it anew"
