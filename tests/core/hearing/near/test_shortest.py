"""Shortest wordings, by words and by other lengths, on expansions that can be read at a glance."""

from __future__ import annotations

import pytest

from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.near.shortest import shortest

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("says", "words"),
    [
        ("go back [one step]", "go back"),
        ("[the] (previous | last) step", "last step"),
        ("extraordinarily | one two", "one two"),
        ("go+", "go"),
        ("go* on", "on"),
        ("[go]", ""),
        ("<VOID>", ""),
    ],
)
def test_by_letters(says: str, words: str) -> None:
    assert " ".join(shortest(word_graph(parse_expansion(says), {}), len)) == words


def test_by_words() -> None:
    graph = word_graph(parse_expansion("extraordinarily | one two"), {})
    assert shortest(graph, lambda word: 1) == ("extraordinarily",)
