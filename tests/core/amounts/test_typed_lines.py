"""Typed and spoken amounts in a job, and texts by chance in every field of every computation."""

from __future__ import annotations

from collections import Counter

import pytest

from assistant.core.amounts.levels import read_level
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.job import known
from assistant.core.quantities.units import amount
from assistant.core.types import Hypothesis
from assistant.path.hearing import heard
from tests.benchmarks.amounts import attacked, outcomes
from tests.talk import CLOSE, DRAIN, EVIDENCE, READY, RUN, Talk

POUR = " / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0]))
DIPSTICK = " / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN))
LEVEL = "reading:oil-level"
FOR_EACH_FIELD = 5
SPOKEN = 60


@pytest.mark.parametrize(
    ("line", "said"),
    [("3.5–4 l", "more than one number"), ("3,500 l", "Three point five, or three thousand five hundred?"),
     ("<3.5 l", "the number itself"), ("3.2...3.5 l", "more than one number"), ("1.2.3 l", "can't read that number")],
)  # fmt: skip
def test_a_doubtful_number_is_asked_again_and_nothing_is_poured(talk: Talk, line: str, said: str) -> None:
    talk.say(POUR)
    before = known.poured(talk.state, "oil").magnitude
    talk.say(line)
    assert said in talk.said
    assert known.poured(talk.state, "oil").magnitude == before


@pytest.mark.parametrize(
    ("line", "poured"), [("3,5 l", "3.5"), ("3.5 L", "3.5"), ("3½ litres", "3.5"), ("350 cl", "3.5")]
)
def test_an_exact_one_is_taken(talk: Talk, line: str, poured: str) -> None:
    talk.say(f"{POUR} / {line}")
    assert known.poured(talk.state, "oil") == amount(f"{poured} L")


@pytest.mark.parametrize("line", ["3/8", "40 %", "5 mm of 20 mm", "1/2 in of 5/8 in", "100 %"])
def test_a_level_is_typed_as_a_part_or_a_length(talk: Talk, line: str) -> None:
    talk.say(DIPSTICK)
    assert talk.waiting == LEVEL
    heard(talk.desk, Hypothesis(line, 0.0, "typed"))  # a slash parts what is said in tests
    fact = talk.desk.state.last("oil-level")
    assert fact and fact.value == read_level(line)


@pytest.mark.parametrize(
    "line", ["15 mm above low", "40–50 %", "0.5", "not full", "between low and full", "a finger over low"]
)
def test_a_level_that_is_none_is_asked_again(talk: Talk, line: str) -> None:
    talk.say(f"{DIPSTICK} / {line}")
    assert talk.waiting == LEVEL
    assert talk.state.last("oil-level") is None


def test_texts_by_chance_are_worked_out_or_refused() -> None:
    wrong = [row for row in attacked(FOR_EACH_FIELD, seed=7) if row[-1].startswith("traceback")]
    assert not wrong


def test_spoken_and_typed_amounts_are_right_or_refused(phrasebook: Phrasebook) -> None:
    found = list(outcomes(phrasebook, SPOKEN, seed=3))
    assert not [row for row in found if row[1].startswith(("wrong", "asked"))]
    assert Counter(outcome for _, outcome in found)["right"] > SPOKEN / 2
