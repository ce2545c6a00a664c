"""Each rule of contraries on one that breaks it and one that keeps it."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.contraries.contrary_rules import taken_for_another, without_contrary
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.hearing.contraries.turning_words import TurningWords
from assistant.core.types import Phrase

TIGHT = Phrase("claim", "[the] cap is tight", affirms=True)


@pytest.fixture(scope="module")
def words(library: Library) -> TurningWords:
    return library.turning_words()


class Silent(Contraries):
    """Makes no contraries."""

    def of(self, phrase: Phrase) -> Phrase | None:
        return None


class OnlyNot(Contraries):
    """Makes one, without an opposite."""

    def of(self, phrase: Phrase) -> Phrase | None:
        return Phrase("denied", "the cap is not tight", "claim")


def test_every_phrase_that_affirms_needs_contraries(words: TurningWords) -> None:
    graphs = WordGraphs({})
    assert not list(without_contrary([TIGHT], Contraries(words), words, graphs))
    assert len(list(without_contrary([TIGHT], Silent(words), words, graphs))) == 2
    assert list(without_contrary([TIGHT], OnlyNot(words), words, graphs)) == [
        "'[the] cap is tight' (claim) has no contrary for tight"
    ]
    assert not list(without_contrary([Phrase("where", "where am I")], Silent(words), words, graphs))


def test_no_contrary_is_allowed_with_another_meaning(words: TurningWords) -> None:
    loose = Phrase("done", "the cap is loose", affirms=True)
    broken = list(taken_for_another([TIGHT, loose], Contraries(words), WordGraphs({})))
    assert "'the cap is loose' denies claim, and is allowed as done" in broken


def test_one_answer_may_be_the_contrary_of_another(words: TurningWords) -> None:
    answers = [Phrase("option", f"it is {word}", word, affirms=True) for word in ("wet", "dry")]
    assert not list(taken_for_another(answers, Contraries(words), WordGraphs({})))
