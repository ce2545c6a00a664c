"""Checks the advice after a first talk, and that a person's thresholds stay within their bounds."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.library import match_settings
from assistant.core.hearing.sound.room import Room, Voice
from assistant.core.hearing.verdict.tuning import LAXER, STRICTER, SURER, Take, advice, tuned
from assistant.core.types import Verdict

FITTED = match_settings().likely
GOOD = Take("next step", "next step", Verdict.ACCEPTED, -0.1, True, Voice(-25, 25, 0, False))
ROOM = Room(-50, 0.1)


def test_where_all_is_well_nothing_is_said_and_nothing_changes() -> None:
    assert advice(ROOM, [GOOD] * 10) == ()
    assert tuned(FITTED, [GOOD] * 10) == replace(FITTED, least_snr=max(FITTED.least_snr, 10))


@pytest.mark.parametrize(
    ("voice", "word"),
    [(Voice(-5, 30, 0.1, False), "too loud"), (Voice(-25, 30, 0, True), "telephone"),
     (Voice(-55, 30, 0, False), "faint"), (Voice(-25, 8, 0, False), "hardly enough"),
     (Voice(-25, 2, 0, False), "too little"), (None, "no speech")],
)  # fmt: skip
def test_what_is_wrong_with_the_sound_is_named(voice: Voice | None, word: str) -> None:
    said = " ".join(advice(ROOM, [replace(GOOD, voice=voice)] * 10))
    assert word in said


def test_a_hum_is_named_and_so_are_sentences_that_failed() -> None:
    noisy = [replace(GOOD, voice=Voice(-25, 5, 0, False))] * 9
    wrong = replace(GOOD, asked="fifty", heard="fifteen", right=False)
    said = " ".join(advice(Room(-30, 0.9), [*noisy, wrong]))
    assert "hum" in said
    assert "You said: fifty. I took it for: fifteen." in said
    assert "five zero" in said
    assert "I did not hear you say: fifty." in advice(ROOM, [GOOD, replace(wrong, voice=None)])


takes = st.builds(
    Take, asked=st.just("next step"), heard=st.just("next step"), verdict=st.sampled_from(Verdict),
    score=st.floats(-3, 0.5), right=st.booleans(),
    voice=st.none() | st.builds(Voice, st.floats(-90, 0), st.floats(-20, 60), st.floats(0, 1), st.booleans()),
)  # fmt: skip


@given(st.lists(takes, max_size=10))
def test_thresholds_stay_within_bounds(found: list[Take]) -> None:
    own = tuned(FITTED, found)
    assert FITTED.accept - LAXER - 1e-9 <= own.accept <= FITTED.accept + STRICTER + 1e-9
    assert own.sure in (FITTED.sure, SURER)
    assert own.ask <= own.accept
    assert own.least_snr >= FITTED.least_snr
    free = {"accept": 0, "sure": 0, "ask": 0, "least_snr": 0}
    assert replace(own, **free) == replace(FITTED, **free)
