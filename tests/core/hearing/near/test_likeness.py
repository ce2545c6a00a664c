"""The distance of phrases: by hand, against the plain algorithm on every pair of wordings, and its words."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Node, parse_expansion
from assistant.core.hearing.near.likeness import FAR, Likeness
from assistant.core.hearing.near.sounds import BOUNDARY, INDEX, distance, loss

SPELT = {"go": (("G", "OW"),), "no": (("N", "OW"),), "on": (("AA", "N"), ("AO", "N")), "oh": (("OW",),)}
COMMON = ("next", "step", "stop", "the", "plug", "is", "out", "what", "torque", "oil", "five", "half")


def measure(*says: str, rules: dict[str, Node] | None = None) -> Likeness:
    return Likeness(says, rules or {}, SPELT.__getitem__)


def between(one: str, other: str, rules: dict[str, Node] | None = None) -> float:
    return measure(one, other, rules=rules).distance(one, other)


def edit_distance(one: tuple[str, ...], other: tuple[str, ...]) -> float:
    """The string-to-string correction problem, Wagner and Fischer, Journal of the ACM 21 (1974), Algorithm X."""
    lose = {sound: float(loss()[index]) for sound, index in INDEX.items()}
    above = [0.0]
    for sound in other:
        above.append(above[-1] + lose[sound])
    for sound in one:
        row = [above[0] + lose[sound]]
        for place, heard in enumerate(other):
            row.append(
                min(above[place] + distance(sound, heard), above[place + 1] + lose[sound], row[place] + lose[heard])
            )
        above = row
    return above[-1]


def ways(words: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Every pronunciation of a wording, with boundaries between its words."""
    found = product(*(pronounce(word) for word in words))
    return [(BOUNDARY, *(sound for spoken in way for sound in (*spoken, BOUNDARY))) for way in found]


def test_by_hand() -> None:
    assert between("go", "no") == pytest.approx(distance("G", "N"))
    assert between("go", "oh") == pytest.approx(0.9)  # the G is missing
    assert between("go", "go on") == pytest.approx(0.9 + 0.75 + 0.15)  # a vowel, an N, and a boundary
    assert between("go", "go") == 0


def test_what_may_be_left_out_and_alternatives_count_at_their_nearest() -> None:
    assert between("go [on]", "no | go") == 0
    assert between("(go | no) on", "no [on]") == 0
    assert between("on [on]", "go | oh no") == min(
        between(one, other) for one, other in product(("on", "on on"), ("go", "oh no"))
    )


@given(
    st.lists(st.sampled_from(COMMON), min_size=1, max_size=3), st.lists(st.sampled_from(COMMON), max_size=3, min_size=1)
)
def test_it_is_the_plain_edit_distance_of_the_nearest_pronunciations(one: list[str], other: list[str]) -> None:
    texts = " ".join(one), " ".join(other)
    found = Likeness(texts, {}, pronounce).distance(*texts)
    plain = min(edit_distance(first, second) for first, second in product(ways(tuple(one)), ways(tuple(other))))
    assert found == pytest.approx(min(FAR, plain), abs=1e-4)


def test_it_is_the_same_either_way_round() -> None:
    likeness = Likeness(["next step", "skip this step", "<n> clicks"], {"n": parse_expansion("six | seven")}, pronounce)
    for one, other in (("next step", "skip this step"), ("next step", "<n> clicks")):
        near, turned = likeness.nearness(one, other), likeness.nearness(other, one)
        assert near.distance == turned.distance
        assert near.words == turned.words[::-1]


def test_a_slot_is_whatever_may_be_said_in_it() -> None:
    rules = {"n": parse_expansion("go | no")}
    assert between("<n> on", "no on", rules) == 0
    assert between("<n>", "oh", rules) == between("no", "oh")


def test_two_slots_are_taken_as_filled_alike() -> None:
    rules = {"n": parse_expansion("go | no")}
    assert between("<n> on", "<n>", rules) == pytest.approx(0.9 + 0.75 + 0.15)


def test_the_words_are_those_of_the_nearest_wordings() -> None:
    near = measure("on (go | oh)", "[no] no").nearness("on (go | oh)", "[no] no")
    assert near.words in (("on go", "no no"), ("on oh", "no no"), ("on go", "no"), ("on oh", "no"))
    assert near.distance == pytest.approx(between(*near.words))
    assert near.per_sound == near.distance / near.sounds


def test_far_is_far_enough() -> None:
    near = measure("go go go go go go go", "on").nearness("go go go go go go go", "on")
    assert (near.distance, near.words) == (FAR, ("", ""))


def test_a_phrase_without_end_is_refused() -> None:
    with pytest.raises(DataError, match="no longest wording") as refused:
        measure("go+", "no").distance("go+", "no")
    assert len(refused.value.say.split()) <= 15
