"""What people type in short, or with words around it, is the phrase that they mean; what turns it is never taken."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.contraries.made import DENIED, Contraries
from assistant.core.hearing.verdict.in_short import InShort
from assistant.core.types import Phrase

PHRASES = (
    Phrase("value", "<volume>", affirms=True),
    Phrase("value", "<quantity>", rare=4.0, affirms=True),
    Phrase("option", "on concrete", option="concrete", affirms=True),
    Phrase("option", "in neutral", option="neutral", affirms=True),
    Phrase("option", "both back wheels", option="back", affirms=True),
    Phrase("claim", "[the] filler cap is tight", affirms=True),
    Phrase("next", "[the] next step [please]", affirms=True),
)
COUNTS = (Phrase("value", "<count>", affirms=True),)


@pytest.fixture(scope="module")
def short(library: Library) -> InShort:
    return InShort(WordGraphs(library.rules()), library.turning_words())


@pytest.fixture(scope="module")
def phrases(library: Library) -> tuple[Phrase, ...]:
    return Contraries(library.turning_words()).with_contraries(PHRASES)


@pytest.mark.parametrize(
    ("text", "intent", "words"),
    [
        ("two litres", "value", "two litres"),
        ("the manual says two litres", "value", "two litres"),
        ("it's about two litres", "value", "two litres"),
        ("i poured a litre in", "value", "one litre"),
        ("concrete", "option", "on concrete"),
        ("it's on concrete", "option", "on concrete"),
        ("yes neutral", "option", "in neutral"),
        ("both rear wheels", "option", "both back wheels"),
        ("it is tight", "claim", "filler cap is tight"),
        ("that's done", "next", "next step"),
        ("it isn't tight", DENIED, "is not tight"),
        ("no the filler cap is not tight", DENIED, "not tight"),
    ],
)
def test_what_is_typed_in_short(short: InShort, phrases, text: str, intent: str, words: str) -> None:
    found = short.all_of(text.split(), phrases)
    assert {one.phrase.intent for one in found} == {intent}
    assert all(words in one.words for one in found)


@pytest.mark.parametrize(
    "text", ["yes", "ok", "done", "it", "it is", "no", "i think two litres", "two litres or three", "tight", "about",
             "not concrete", "concrete i think", "it was tight before", "the other cap is tight", "no it is tight", ""],
)  # fmt: skip
def test_what_is_not_taken(short: InShort, phrases, text: str) -> None:
    assert not [one for one in short.all_of(text.split(), phrases) if one.phrase.intent != DENIED]


def test_what_is_counted_is_told_exactly(short: InShort) -> None:
    assert short.all_of(["i", "counted", "two"], COUNTS)
    assert not short.all_of(["about", "two"], COUNTS)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("i think two litres", ["two litres"]),
        ("maybe it is tight", ["the filler cap is tight"]),
        ("not two litres", ["two litres"]),
        ("two litres or three litres", ["two litres", "three litres"]),
        ("concrete or neutral", ["on concrete", "in neutral"]),
        ("i think so", []),
        ("two litres of water for the dog", []),
        ("on concrete", []),
    ],
)
def test_what_is_in_doubt(short: InShort, phrases, text: str, named: list[str]) -> None:
    assert [one.words for one in short.in_doubt(text.split(), phrases)] == named


def test_without_turning_words_only_the_very_words_count(library: Library, phrases) -> None:
    plain = InShort(WordGraphs(library.rules()), None)
    assert plain.all_of(["on", "concrete"], phrases)
    assert not plain.all_of(["concrete"], phrases)
    assert not plain.in_doubt(["not", "concrete"], phrases)
