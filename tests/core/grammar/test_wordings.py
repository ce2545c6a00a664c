"""Every wording of a phrase, each once."""

from __future__ import annotations

import pytest

from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.grammar.wordings import wordings

pytestmark = pytest.mark.pure


def test_every_wording_once() -> None:
    graph = word_graph(parse_expansion("[the] (cap | plug) is (not | not) [yet] off"), {})
    made = list(wordings(graph))
    assert len(made) == len(set(made)) == 8
    assert {"the cap is not off", "plug is not yet off"} <= set(made)
