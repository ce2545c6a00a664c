"""Checks the distances between sounds against published confusions, in order only: the weights are a model."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.hearing.near.sounds import BOUNDARY, LOSS, PHONEMES, apart, distance, sounds_of, substitution

pytestmark = pytest.mark.pure

sound = st.sampled_from(PHONEMES)


def test_the_sounds_are_those_of_the_dictionary() -> None:
    # The CMU Pronouncing Dictionary 0.7b has 39 phonemes; the boundary between words comes to them.
    assert len(PHONEMES) == len(set(PHONEMES)) == 40


@given(sound, sound)
def test_a_distance_is_symmetric_and_none_only_to_itself(one: str, other: str) -> None:
    assert distance(one, other) == distance(other, one)
    assert (distance(one, other) == 0) == (one == other)
    assert np.array_equal(substitution(), substitution().T)


@pytest.mark.parametrize(
    ("near", "far"),
    [  # G. A. Miller and P. E. Nicely, J. Acoust. Soc. Am. 27 (1955) 338, from memory: in noise place is lost
        # first; that a sound is a nasal, or that it is a fricative, survives.
        (("M", "N"), ("M", "B")), (("P", "T"), ("P", "M")), (("T", "K"), ("T", "S")), (("F", "TH"), ("F", "P")),
        (("B", "D"), ("B", "M")), (("V", "DH"), ("V", "M")),
        # G. E. Peterson and H. L. Barney, J. Acoust. Soc. Am. 24 (1952) 175, from memory: neighbouring vowels
        # are confused (IH with EH, AA with AO), IY and UW with hardly any.
        (("IH", "EH"), ("IH", "AA")), (("AA", "AO"), ("AA", "IY")), (("AE", "EH"), ("AE", "UW")),
    ],
)  # fmt: skip
def test_what_people_confuse_is_nearer_than_what_they_do_not(near: tuple[str, str], far: tuple[str, str]) -> None:
    assert distance(*near) < distance(*far)


def test_words_stand_between_boundaries() -> None:
    def spelling(word: str) -> tuple[tuple[str, ...], ...]:
        return (tuple(word), ("never",))

    assert sounds_of("no on", spelling) == (BOUNDARY, "n", "o", BOUNDARY, "o", "n", BOUNDARY)
    assert sounds_of("", spelling) == (BOUNDARY,)


def test_rows_of_sounds_are_apart_by_the_cheapest_way() -> None:
    plug, slug = ("P", "L", "AH", "G"), ("S", "L", "AH", "G")
    assert apart(plug, plug) == 0
    assert apart(plug, slug) == apart(slug, plug) == pytest.approx(distance("P", "S"))
    assert apart(plug, plug[1:]) == apart((), ("P",)) == pytest.approx(LOSS)
