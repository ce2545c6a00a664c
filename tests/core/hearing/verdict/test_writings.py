"""What engines wrote as texts in words: spellings count together, fillers fall off, the likeliest is the measure."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.hearing.verdict.writings import EXTRA_TOKENS, writings_of
from assistant.core.types import Hypothesis

pytestmark = pytest.mark.pure


def likelihoods(*written: tuple[str, float]) -> dict[str, float]:
    found = writings_of([Hypothesis(text, score, "engine") for text, score in written])
    return {writing.text: exp(writing.likelihood) for writing in found}


def test_spellings_of_one_text_count_together() -> None:
    found = likelihoods(("50 liters.", -0.4), ("15 liters.", -0.5), ("15 liters", -0.5), ("Fifteen liters", -0.5))
    shares = [exp(-0.4 * (2 + EXTRA_TOKENS)), 3 * exp(-0.5 * (2 + EXTRA_TOKENS))]
    assert found == pytest.approx({"fifty liters": shares[0] / shares[1], "fifteen liters": 1})
    assert found["fifteen liters"] > found["fifty liters"]


def test_a_text_is_there_with_and_without_its_filler() -> None:
    assert set(likelihoods(("Um, okay, next step please.", -0.1))) == {"um okay next step please", "next step"}
    assert set(likelihoods(("Okay.", -0.1))) == {"okay"}


def test_the_surest_spelling_gives_the_doubt() -> None:
    (writing,) = writings_of([Hypothesis("Next step.", -0.3, "engine"), Hypothesis("next step", -0.2, "engine")])
    assert writing.doubt == -0.2


def test_each_engine_has_one_vote() -> None:
    found = writings_of(
        [
            Hypothesis("next step", -9.0, "one"),
            Hypothesis("next step", -0.1, "other"),
            Hypothesis("go back", -0.1, "other"),
        ]
    )
    # The first engine is sure of "next step" however low it scores; the second is torn between the two.
    assert {writing.text: exp(writing.likelihood) for writing in found} == pytest.approx(
        {"next step": 1, "go back": 0.5 / 1.5}
    )


@given(st.lists(st.tuples(st.text("ab ", min_size=1), st.floats(-5, 0)), max_size=6))
def test_the_likeliest_text_is_the_measure(written: list[tuple[str, float]]) -> None:
    found = likelihoods(*written)
    assert set(found) == {" ".join(text.split()) for text, _ in written} - {""}
    assert not found or max(found.values()) == 1
