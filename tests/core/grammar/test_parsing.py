"""Checks that exactly the sentences of a grammar are parsed; the grammars are the W3C JSGF note's own (2000)."""

import pytest

from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.slots import slots_of
from assistant.core.grammar.word_graph import word_graph

pytestmark = pytest.mark.pure
POLITE = "[please | kindly | could you | oh mighty computer] (open | close | delete | move)* [thanks]"


@pytest.mark.parametrize("said", ["", "please open", "oh mighty computer move move close thanks", "Open thanks"])
def test_a_sentence_of_the_grammar_gives_its_steps(said: str) -> None:
    steps = parse(word_graph(parse_expansion(POLITE), {}), said.split())
    assert steps is not None
    assert " ".join(step.word for step in steps) == said.lower()


@pytest.mark.parametrize("said", ["oh mighty", "thanks open", "please kindly open", "shut"])
def test_any_other_has_none(said: str) -> None:
    assert parse(word_graph(parse_expansion(POLITE), {}), said.split()) is None


def test_the_steps_know_their_slots() -> None:
    rules = {"thing": parse_expansion("the (door | window)"), "verb": parse_expansion("open | close")}
    steps = parse(word_graph(parse_expansion("<verb> <thing>"), rules), ["close", "the", "window"])
    assert steps is not None
    assert slots_of(steps) == (("verb", "close"), ("thing", "the window"))
