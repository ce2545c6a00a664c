"""Which words were said in which rule: on paths that can be written down by hand."""

from __future__ import annotations

import pytest

from assistant.core.grammar.slots import slots_of
from assistant.core.grammar.word_graph import Step

pytestmark = pytest.mark.pure


def path(*words: tuple[str, str]) -> list[Step]:
    """A path of words, each with the rules that it stands in, outermost first."""
    return [Step(0, word, 0, tuple(rules.split())) for word, rules in words]


ORDER = path(
    ("a", ""), ("large", "order size"), ("oil", "order part"), ("filter", "order part kind"), ("for", "order"),
    ("the", "order car"), ("red", "order car colour"), ("van", "order car"), ("please", ""),
)  # fmt: skip


def test_outer_rules_only() -> None:
    assert slots_of(ORDER) == (("order", "large oil filter for the red van"),)


def test_all_rules_outer_before_inner() -> None:
    assert slots_of(ORDER, depth=None) == (
        ("order", "large oil filter for the red van"), ("size", "large"), ("part", "oil filter"), ("kind", "filter"),
        ("car", "the red van"), ("colour", "red"),
    )  # fmt: skip


def test_a_rule_taken_up_again_at_once_is_one_slot_and_later_another() -> None:
    said = path(("one", "digit"), ("two", "digit"), ("to", ""), ("three", "digit"))
    assert slots_of(said) == (("digit", "one two"), ("digit", "three"))


def test_nothing_said_and_no_rules() -> None:
    assert slots_of([]) == ()
    assert slots_of(path(("next", ""), ("step", ""))) == ()
