"""What is left over beside a phrase: what denies, what leaves in doubt, what is another thing, and what is nothing."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library
from assistant.core.hearing.contraries.left_over import LeftOver, Turn, is_slip
from assistant.core.hearing.near.sounds import apart, sounds_of

TIGHT, STILL, PLUG, WHEELS = (
    "the filler cap is tight", "it stayed completely still", "confirm the drain plug", "both back wheels",
)  # fmt: skip


@pytest.fixture(scope="module")
def left_over(library: Library) -> LeftOver:
    return LeftOver(library.turning_words(), lambda one, other: one == other or (one == "tigth" and other == "tight"))


@pytest.mark.parametrize(
    ("text", "phrase", "turn"),
    [
        (TIGHT, TIGHT, Turn.NONE),
        ("okay the filler cap is tight now please", TIGHT, Turn.NONE),
        ("filler cap tight", TIGHT, Turn.NONE),
        ("the filler cap is tigth", TIGHT, Turn.NONE),
        ("the filler cap is not tight", TIGHT, Turn.DENIED),
        ("the filler cap isn't tight", TIGHT, Turn.DENIED),
        ("the filler cap is loose", TIGHT, Turn.DENIED),
        ("it did not stay completely still", STILL, Turn.DENIED),
        ("it hardly stayed completely still", STILL, Turn.DENIED),
        ("neither back wheels", WHEELS, Turn.DENIED),
        ("I think the filler cap is tight", TIGHT, Turn.DOUBTED),
        ("the filler cap is nearly tight", TIGHT, Turn.DOUBTED),
        ("is the filler cap tight", TIGHT, Turn.DOUBTED),
        ("okay is the filler cap tight", TIGHT, Turn.DOUBTED),
        ("the filler cap will be tight", TIGHT, Turn.DOUBTED),
        ("if the filler cap is tight", TIGHT, Turn.DOUBTED),
        ("the filler cap is tight soon", TIGHT, Turn.DOUBTED),
        ("no the filler cap is tight", TIGHT, Turn.DOUBTED),
        ("it is not that the filler cap is not tight", TIGHT, Turn.DOUBTED),
        ("the filter cap is tight", TIGHT, Turn.OTHER),
        ("the filler is tight", TIGHT, Turn.OTHER),
        ("the filler cap on the left is tight", TIGHT, Turn.OTHER),
        ("confirm drain pan", PLUG, Turn.OTHER),
        ("confirm drain", PLUG, Turn.OTHER),
        ("the right back wheels", WHEELS, Turn.OTHER),
        ("listen to me now", "do not listen to me now", Turn.DENIED),
    ],
)
def test_what_follows_from_what_is_left_over(left_over: LeftOver, text: str, phrase: str, turn: Turn) -> None:
    assert left_over.turn(text.lower().split(), phrase.split()) is turn


@pytest.mark.parametrize(
    ("text", "phrase", "lacks"),
    [
        ("i can't read it", "i can not get out", True),
        ("the washer is missing", "the car is moving", True),
        ("i can't get out of here", "i can not get out", False),
        ("the car is rolling", "the car is moving", False),
        ("help", "help me", False),
        ("please help me now", "help me", False),
    ],
)
def test_what_lacks_the_words_that_matter(left_over: LeftOver, text: str, phrase: str, lacks: bool) -> None:
    assert left_over.lacks_most(text.split(), phrase.split()) is lacks


@pytest.mark.parametrize(
    ("text", "phrase"),
    [("twenty five litres", "five litres"), ("five litres", "twenty five litres"), ("six litres", "sixty litres"),
     ("three point oh five litres", "three point five litres"), ("minus three litres", "three litres"),
     ("three litres and a half", "three litres")],
)  # fmt: skip
def test_a_number_is_never_a_part_of_what_was_written(left_over: LeftOver, text: str, phrase: str) -> None:
    assert left_over.turn(text.split(), phrase.split()) is not Turn.NONE


def test_a_negation_in_the_phrase_itself_is_none_that_is_left_over(left_over: LeftOver) -> None:
    text = ["do", "not", "listen", "to", "me", "now"]
    assert left_over.turn(text, text) is Turn.NONE


def distance(one: Sequence[str], other: Sequence[str]) -> float:
    return apart(sounds_of(" ".join(one), pronounce), sounds_of(" ".join(other), pronounce))


@pytest.mark.parametrize(
    ("text", "phrase", "turn"),
    [  # what engines wrote for a synthetic voice, where they were wrong
        ("the filler cap is not tight", TIGHT, Turn.DENIED),
        ("the filler cap is loose", TIGHT, Turn.DENIED),
        ("i don't think the old rain came away", "the old ring came away", Turn.DENIED),
        ("i think the old rain came away", "the old ring came away", Turn.DOUBTED),
        ("and rithon will be wiped right", "everything is wiped dry", Turn.DOUBTED),
        ("is the filler cap tight", TIGHT, Turn.DOUBTED),
        ("oil capacity will filter is confirmed", "oil capacity with filter is confirmed", Turn.NONE),
        ("when her tray is back", "under tray is back", Turn.NONE),
        ("only one", "only warm", Turn.NONE),
        ("what is art", "plug is out", Turn.NONE),
        ("confirm the trainer plug", PLUG, Turn.NONE),
    ],
)
def test_a_turning_word_that_stands_for_another_one_by_its_sound_turns_nothing(
    left_over: LeftOver, text: str, phrase: str, turn: Turn
) -> None:
    assert left_over.heard_turn(text.split(), phrase.split(), distance) is turn


@pytest.mark.parametrize(
    ("one", "other", "slip"),
    [("tihgt", "tight", True), ("completly", "completely", True), ("fillr", "filler", True), ("on", "in", False),
     ("cap", "can", False), ("filter", "filler", True), ("plug", "slug", False), ("pan", "plan", True),
     ("hollow", "follows", False)],
)  # fmt: skip
def test_slips(one: str, other: str, slip: bool) -> None:
    assert is_slip(one, other) is slip  # that "filter" is a word of its own, and no slip, the dictionary knows
