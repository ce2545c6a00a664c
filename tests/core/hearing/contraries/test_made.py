"""The contraries of a phrase: each rule on a phrase of its kind, and what is left out."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.grammar.wordings import wordings
from assistant.core.hearing.contraries.made import DENIED, TAKEN_BACK, Contraries, denied
from assistant.core.types import Phrase

MOST_WORDS = 120
"""So many words the contraries of one phrase hold at most: what is allowed at once must stay small."""


@pytest.fixture(scope="module")
def contraries(library: Library) -> Contraries:
    return Contraries(library.turning_words())


def texts(contraries: Contraries, says: str) -> set[str]:
    made = contraries.of(Phrase("done", says, affirms=True))
    return set(wordings(word_graph(parse_expansion(made.says), {}))) if made else set()


@pytest.mark.parametrize(
    ("says", "expected"),
    [
        ("[the] filler cap is tight", {"the filler cap is not tight", "filler cap isn't tight yet",
                                       "the filler cap's not tight", "the filler cap is loose"}),
        ("[it] stayed completely still", {"it did not stay completely still", "didn't stay completely still",
                                          "it never stayed completely still", "it has not stayed completely still"}),
        ("[the] brake light is on", {"the brake light is off", "brake light isn't on"}),
        ("I took the tray off", {"i did not take the tray off", "i haven't taken the tray off",
                                 "i never took the tray off", "i took the tray on"}),
        ("confirm [the] drain plug", {"do not confirm the drain plug", "don't confirm drain plug",
                                      "never confirm the drain plug", "i do not confirm the drain plug"}),
        ("[it is] rock solid", {"not rock solid", "it's not rock solid", "it is not rock solid",
                                "it isn't rock solid"}),
        ("[on] [level] concrete", {"not on level concrete", "it is not concrete", "on sloping concrete"}),
        ("[both | the] back wheels", {"neither back wheel", "only one back wheel", "one of the back wheels",
                                      "not both back wheels", "not the back wheels", "both front wheels"}),
        ("[both] in the hollows", {"neither in the hollows", "only one in the hollows", "not both in the hollows"}),
        ("[both] wheels sit deep", {"neither wheel sits deep", "only one wheel sits deep",
                                    "both wheels do not sit deep"}),
        ("[the] chocks are in place", {"the chocks aren't in place", "only one chock is in place",
                                       "not all the chocks are in place", "the chocks are missing"}),
        ("everything is dry", {"not everything is dry", "nothing is dry", "everything isn't dry", "everything is wet"}),
        ("[the] next step [please]", {"not the next step", "not next step please"}),
        ("what comes next", {"not what comes next"}),
        ("do not listen [to me] now", {"listen to me now", "listen now"}),
        ("I have [got] the tools", {"i have not got the tools", "i haven't got the tools", "i do not have the tools"}),
        ("[it] only drips now", {"it does not only drip now", "it doesn't only drip now", "it still runs now"}),
        ("[there are] things lying about", {"there are no things lying about", "there aren't things lying about"}),
        ("I can see oil dripping", {"i can not see oil dripping", "i can't see oil dripping"}),
        ("I am here", {"i am not here", "i'm not here"}),
        ("the oil lamp went out", {"the oil lamp did not go out", "the oil lamp stayed on"}),
        ("[I poured [in]] <volume>", {"i did not pour", "i have not poured in", "i didn't pour in yet"}),
        ("[it is | I] tightened [it] to <torque>", {"i did not tighten it", "it is not tightened"}),
    ],
)  # fmt: skip
def test_each_rule(contraries: Contraries, says: str, expected: set[str]) -> None:
    assert expected <= texts(contraries, says)


@pytest.mark.parametrize(
    "says",
    ["[the] filler cap is tight", "[both | the] back wheels", "[it] stayed completely still",
     "(on [level] | level) concrete", "[it goes] into the room"],
)  # fmt: skip
def test_a_contrary_is_never_the_phrase_itself_and_denies_once(contraries: Contraries, says: str) -> None:
    own = set(wordings(word_graph(parse_expansion(says), {})))
    made = texts(contraries, says)
    assert made
    assert not own & made
    assert not [text for text in made if text.split().count("not") > 1]


def test_an_optional_part_that_is_denied_is_no_longer_optional(contraries: Contraries) -> None:
    # "in the garage" alone must not be among what denies "[the car is] in the garage"
    assert "in the garage" not in texts(contraries, "[the car is] in the garage")
    assert "the car is not in the garage" in texts(contraries, "[the car is] in the garage")


def test_a_value_has_no_contrary_and_brings_no_number_into_one(contraries: Contraries) -> None:
    assert contraries.of(Phrase("value", "<quantity>", affirms=True)) is None
    made = contraries.of(Phrase("value", "it shows <distance>", affirms=True))
    assert made
    assert "<" not in made.says


def test_what_a_word_takes_back_does_not_compete(contraries: Contraries) -> None:
    assert contraries.of(Phrase("undo", "that was wrong", affirms=True)) is None


def test_contraries_stay_small(contraries: Contraries, library: Library) -> None:
    for phrase in (phrase for phrase in library.phrases() if phrase.affirms and phrase.intent not in TAKEN_BACK):
        made = contraries.of(phrase)
        assert made
        assert len(word_graph(parse_expansion(made.says), {}).steps) <= MOST_WORDS, phrase.says


def test_a_contrary_tells_what_it_denies() -> None:
    assert denied(Phrase("option", "rock solid", "firm")) == "option:firm"
    assert denied(Phrase("claim", "it is tight")) == "claim"


def test_only_what_affirms_is_denied(contraries: Contraries) -> None:
    asks = (Phrase("where", "where am I"),)
    assert contraries.with_contraries(asks) == asks
    both = (*asks, Phrase("claim", "the cap is tight", affirms=True))
    given = contraries.with_contraries(both)
    assert given[:2] == both
    assert {phrase.intent for phrase in given[2:]} == {DENIED}
    assert {phrase.option for phrase in given[2:]} == {"claim", None}  # None: what denies whatever was asked


def test_where_it_wants_to_be_called_the_call_comes_before_a_denial(contraries: Contraries) -> None:
    call, phrase = Phrase("attend", "hello workshop"), Phrase("option", "[hello workshop] (rock solid)", affirms=True)
    made = {text for denial in contraries.with_contraries((call, phrase))[2:]
            for text in wordings(word_graph(parse_expansion(denial.says), {}))}  # fmt: skip
    assert {"hello workshop not rock solid", "not rock solid", "hello workshop not yet", "not yet"} <= made
