"""Typed and spoken amounts in a job, and texts by chance in every field of every computation."""

from __future__ import annotations

from collections import Counter

import pytest

from assistant.core import facts
from assistant.core.hearing.matching import Phrasebook
from tests.benchmarks.amounts import attacked, outcomes
from tests.talk import CLOSE, DRAIN, EVIDENCE, READY, Talk

POUR = " / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0]))
FOR_EACH_FIELD = 5
SPOKEN = 60


@pytest.mark.parametrize(
    ("line", "said"),
    [("3.5–4 l", "more than one number"), ("3,500 l", "Three point five, or three thousand five hundred?"),
     ("<3.5 l", "the number itself"), ("3.2...3.5 l", "more than one number"), ("1.2.3 l", "can't read that number")],
)  # fmt: skip
def test_a_doubtful_number_is_asked_again_and_nothing_is_poured(talk: Talk, line: str, said: str) -> None:
    talk.say(POUR)
    before = facts.poured(talk.state).magnitude
    talk.say(line)
    assert said in talk.said
    assert facts.poured(talk.state).magnitude == before


@pytest.mark.parametrize(
    ("line", "poured"), [("3,5 l", "3.5"), ("3.5 L", "3.5"), ("3½ litres", "3.5"), ("350 cl", "0")]
)
def test_an_exact_one_is_taken(talk: Talk, line: str, poured: str) -> None:
    talk.say(f"{POUR} / {line}")
    assert str(facts.poured(talk.state).magnitude.normalize()) == poured


def test_texts_by_chance_are_worked_out_or_refused() -> None:
    wrong = [row for row in attacked(FOR_EACH_FIELD, seed=7) if row[-1].startswith("traceback")]
    assert not wrong


def test_spoken_and_typed_amounts_are_right_or_refused(phrasebook: Phrasebook) -> None:
    found = list(outcomes(phrasebook, SPOKEN, seed=3))
    assert not [row for row in found if row[1].startswith(("wrong", "asked"))]
    assert Counter(outcome for _, outcome in found)["right"] > SPOKEN / 2
