"""A few sentences that use all that a phrase allows."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.grammar.covering import covering
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import word_graph

pytestmark = pytest.mark.pure


def test_every_word_and_every_way_is_used() -> None:
    graph = word_graph(parse_expansion("(next | following) step [please] | back"), {})
    assert covering(graph) == ("next step", "following step", "next step please", "back")


def test_what_may_be_said_for_ever_is_said_once() -> None:
    graph = word_graph(parse_expansion("(two | four)+ more"), {})
    assert covering(graph) == ("two more", "four more")


@pytest.mark.parametrize("says", ["<volume> [in]", "<torque>", "<distance>", "<number>"])
def test_each_sentence_is_allowed_and_each_word_is_in_one(library: Library, says: str) -> None:
    graph = word_graph(parse_expansion(says), library.rules())
    ways = [parse(graph, sentence.split()) for sentence in covering(graph)]
    assert all(ways)
    assert {step.word for way in ways for step in way or ()} == {step.word for step in graph.steps}
