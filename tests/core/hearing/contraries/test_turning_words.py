"""The words that turn a meaning: past forms by rule and by table, opposites either way, what is shortened."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.contraries.turning_words import base_of, whole_words


@pytest.mark.parametrize(
    ("past", "base"),
    [("stayed", "stay"), ("stopped", "stop"), ("wiped", "wipe"), ("moved", "move"), ("loosened", "loosen"),
     ("tightened", "tighten"), ("pulled", "pull"), ("poured", "pour"), ("drained", "drain"), ("turned", "turn"),
     ("placed", "place"), ("dried", "dry"), ("rocked", "rock"), ("wobbled", "wobble"), ("raised", "raise"),
     ("lowered", "lower"), ("switched", "switch"), ("engaged", "engage"), ("fixed", "fix"), ("mended", "mend"),
     ("greased", "grease"), ("pressed", "press"), ("plugged", "plug"), ("opened", "open"), ("filled", "fill")],
)  # fmt: skip
def test_regular_past_forms(past: str, base: str) -> None:
    assert base_of(past) == base


def test_irregular_past_forms_are_data_and_what_only_looks_like_one_is_none(library: Library) -> None:
    words = library.turning_words()
    stood = words.past("stood")
    assert stood
    assert (stood.base, stood.perfect) == ("stand", "stood")
    assert words.past("need") is None
    assert words.past("red") is None
    assert words.past("plug") is None


def test_opposites_hold_either_way(library: Library) -> None:
    words = library.turning_words()
    assert "off" in words.opposites_of("on")
    assert "tight" in words.opposites_of("loose")
    assert "loose" in words.opposites_of("tight")
    assert not words.opposites_of("filler")


def test_what_is_shortened_is_written_out() -> None:
    assert whole_words(["it's", "not", "i'm", "isn't", "cannot", "won't", "dont", "theyre", "don't"]) == (
        ["it", "is", "not", "i", "am", "is", "not", "can", "not", "will", "not", "do", "not", "theyre", "do", "not"]
    )
