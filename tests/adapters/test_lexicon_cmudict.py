"""Checks pronunciations against textbook examples of English sounds, and that no word is without one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.core.hearing.near.sounds import INDEX


@pytest.mark.parametrize(
    ("word", "sounds"),
    [  # the examples of the table of ARPAbet symbols in the readme of the CMU Pronouncing Dictionary 0.7b
        ("odd", "AA D"), ("at", "AE T"), ("hut", "HH AH T"), ("ought", "AO T"), ("cow", "K AW"), ("hide", "HH AY D"),
        ("cheese", "CH IY Z"), ("thee", "DH IY"), ("ed", "EH D"), ("hurt", "HH ER T"), ("ate", "EY T"),
        ("gee", "JH IY"), ("ping", "P IH NG"), ("oat", "OW T"), ("toy", "T OY"), ("theta", "TH EY T AH"),
        ("hood", "HH UH D"), ("two", "T UW"), ("yield", "Y IY L D"), ("seizure", "S IY ZH ER"),
    ],
)  # fmt: skip
def test_the_examples_of_the_dictionary(word: str, sounds: str) -> None:
    assert tuple(sounds.split()) in pronounce(word)


@pytest.mark.parametrize("word", ["the", "a", "either", "litre", "torque", "dipstick", "millilitres", "newtons"])
def test_pronunciations_differ_and_are_made_of_known_sounds(word: str) -> None:
    found = pronounce(word)
    assert len(set(found)) == len(found) >= 1
    assert all(sound in INDEX for sounds in found for sound in sounds)


def test_a_remark_in_the_dictionary_is_no_sound() -> None:
    # Lines such as "aalborg AO1 L B AO0 R G # place, danish" are in its source.
    assert pronounce("aalborg")[0] == ("AO", "L", "B", "AO", "R", "G")


@pytest.mark.parametrize(
    ("word", "sounds"),
    [  # Collins English Dictionary on these words and their stems: values from memory
        ("litre", "L IY T ER"), ("litres", "L IY T ER Z"), ("chocks", "CH AA K S"), ("chocked", "CH AA K T"),
        ("newtons", "N UW T AH N Z"), ("kilopascals", "K IH L OW P AE S K AE L Z"), ("undertray", "AH N D ER T R EY"),
        ("overfull", "OW V ER F UH L"), ("shims", "SH IH M Z"), ("gauzes", "G AO Z IH Z"), ("torqued", "T AO R K T"),
        ("winched", "W IH N CH T"), ("reamed", "R IY M D"), ("fluted", "F L UW T IH D"), ("shimmed", "SH IH M D"),
    ],
)  # fmt: skip
def test_a_word_that_is_made_of_known_ones_sounds_like_them(word: str, sounds: str) -> None:
    assert tuple(sounds.split()) in pronounce(word)


@pytest.mark.parametrize(("unknown", "sounds"), [("glubbish", "G L AH B IH SH"), ("strob", "S T R AA B")])
def test_a_word_outside_the_dictionary_is_spelt_out_by_rule(unknown: str, sounds: str) -> None:
    assert pronounce(unknown) == (tuple(sounds.split()),)


@pytest.mark.parametrize(
    ("written", "spoken"),
    [("10", "ten"), ("half-caf", "half caf"), ("café", "cafe"), ("cafe\u0301", "cafe"), ("10mm", "ten millimetres"),
     ("\u00bd", "a half"), ("5w-30", "five w thirty")],
)  # fmt: skip
def test_a_word_of_figures_and_signs_sounds_as_it_is_read_aloud(written: str, spoken: str) -> None:
    assert pronounce(written)[0] == tuple(sound for word in spoken.split() for sound in pronounce(word)[0])


def test_a_letter_in_a_word_may_sound_as_its_name() -> None:
    assert ("EY", "S", "IY") in pronounce("a/c")


@given(st.text(st.characters(categories=("L", "N", "P", "S")), max_size=20))
def test_no_text_is_without_sounds(word: str) -> None:
    assert all(sounds and all(sound in INDEX for sound in sounds) for sounds in pronounce(word))
