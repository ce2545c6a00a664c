"""Checks the odds against the worked example of a logistic regression, and the signs of a finding by hand."""

import math
from dataclasses import replace
from math import exp, log

import pytest

from assistant.core.grammar.word_graph import Step
from assistant.core.hearing.verdict.found import Found
from assistant.core.hearing.verdict.odds import MOST_LEAD, MOST_LIKELIER, Signs, Weights, signs_of
from assistant.core.types import Phrase

pytestmark = pytest.mark.pure
NOTHING = Signs(score=0.0, information=0.0, likelier=0.0, lead=0.0, rare=0.0)


def found(words: str, score: float, evidence: float, rare: float = 0.0) -> Found:
    return Found(Phrase("next", words, rare=rare), tuple(Step(0, word, 1) for word in words.split()), score, evidence)


def test_the_signs_are_those_of_the_best_meaning() -> None:
    ranked = [found("next step", -0.2, -0.3, rare=4.0), found("last step", -0.3, -0.45)]
    length = log(10)  # of nine letters and one more
    signs = signs_of(ranked, 1.5, 0.7)
    assert signs.score == pytest.approx(-0.2 * length)
    assert signs.lead == pytest.approx(0.1 * length)  # by score: what is rarely said counts by itself
    assert (signs.information, signs.likelier, signs.rare) == (0.7, 1.5, 4.0)
    alone = signs_of(ranked[:1], math.inf, 0.0)
    assert (alone.lead, alone.likelier) == (pytest.approx(MOST_LEAD * length), MOST_LIKELIER)
    assert signs_of(ranked, -9.0, 0.7).likelier == -MOST_LIKELIER
    assert signs_of(ranked[::-1], 0.0, 0.7).lead == pytest.approx(-0.1 * length)  # the second may score better


@pytest.mark.parametrize(("balance", "probability"), [(1000, 0.00576), (2000, 0.586)])
def test_the_odds_become_a_probability(balance: float, probability: float) -> None:
    # James, Witten, Hastie and Tibshirani, An Introduction to Statistical Learning (2013), table 4.1 and section 4.3.3,
    # default on a credit card: values from memory
    weights = Weights(bias=-10.6513, score=0.0055, information=0, likelier=0, lead=0, rare=0)
    assert weights.of_any(replace(NOTHING, score=balance)) == pytest.approx(probability, rel=2e-3)


def test_this_was_meant_if_anything_was_and_it_was_this() -> None:
    weights = Weights(bias=1.0, score=2.0, information=3.0, likelier=1.0, lead=4.0, rare=-0.5)
    signs = replace(NOTHING, score=-0.5, information=0.5)
    assert weights.of_any(signs) == pytest.approx(1 / (1 + exp(-1.5)))
    assert weights.of_this(signs) == pytest.approx(weights.of_any(signs) / 2)  # another one is just as likely
    assert weights.of_this(replace(signs, likelier=3.0)) == pytest.approx(weights.of_any(signs) / (1 + exp(-3)))
    told = replace(signs, likelier=-2.0, lead=1.0, rare=4.0)  # -2 + 4 - 2
    assert weights.of_this(told) == pytest.approx(weights.of_any(signs) / 2)
