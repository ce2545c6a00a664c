"""What may be said by a grammar: its public rules, and nothing else (section 4.1 of the W3C note of 2000)."""

from __future__ import annotations

import pytest

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import parse_grammar
from assistant.core.grammar.public_rules import phrases_of
from assistant.core.types import Phrase

pytestmark = pytest.mark.pure


def test_each_alternative_of_a_public_rule_is_a_phrase() -> None:
    text = "public <go> = forward [one step] | back; <how> = slowly; public <move> = go <how> | <how> go;"
    assert phrases_of(parse_grammar(text, "g"), "g") == (
        Phrase("go", "forward [one step]", "forward [one step]"), Phrase("go", "back", "back"),
        Phrase("move", "go <how>"), Phrase("move", "<how> go"),
    )  # fmt: skip


def test_nothing_said_is_no_slot() -> None:
    [phrase] = phrases_of(parse_grammar("public <a> = <NULL> b;", "g"), "g")
    assert phrase.option == phrase.says


def test_without_a_public_rule_nothing_may_be_said() -> None:
    with pytest.raises(DataError, match="write `public` before") as caught:
        phrases_of(parse_grammar("<a> = b;", "orders.jsgf"), "orders.jsgf")
    assert str(caught.value).startswith("orders.jsgf")
    assert len(caught.value.say.split()) <= 15


def test_what_no_graph_can_hold_names_the_file() -> None:
    with pytest.raises(DataError, match=r"^orders.jsgf: the rule <b> contains itself"):
        phrases_of(parse_grammar("public <a> = <b>; <b> = x <b> y | z;", "orders.jsgf"), "orders.jsgf")
