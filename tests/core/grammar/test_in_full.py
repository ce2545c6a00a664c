"""The one wording by which a phrase is told."""

from __future__ import annotations

import pytest

from assistant.core.grammar.in_full import in_brief, in_full
from assistant.core.grammar.jsgf import parse_expansion

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("says", "full", "brief"),
    [
        ("[the] next step [please]", "the next step please", "next step"),
        ("(it is | [the] car is) on the ground", "it is on the ground", "it is on the ground"),
        ("[[it is | I] tightened [it] to | it got] <torque>", "it is tightened it to <torque>", "<torque>"),
        ("(very)+ well", "very well", "very well"),
        ("[only] [this]", "only this", ""),
    ],
)
def test_of_alternatives_the_first_and_what_may_be_left_out_or_not(says: str, full: str, brief: str) -> None:
    node = parse_expansion(says)
    assert " ".join(in_full(node)) == full
    assert " ".join(in_brief(node)) == brief
