"""Checks the log-odds against the worked example of a logistic regression, and the signs of a finding by hand."""

import math
from math import exp, log

import pytest

from assistant.core.hearing.found import Found
from assistant.core.hearing.odds import MOST_LEAD, MOST_LIKELIER, Weights, of_any, signs_of
from assistant.core.hearing.word_graph import Step
from assistant.core.types import Phrase

pytestmark = pytest.mark.pure


def found(words: str, score: float, evidence: float, rare: float = 0.0) -> Found:
    return Found(Phrase("next", words, rare=rare), tuple(Step(0, word, 1) for word in words.split()), score, evidence)


def test_the_signs_are_those_of_the_best_meaning() -> None:
    ranked = [found("next step", -0.2, -0.3, rare=4.0), found("last step", -0.4, -0.45)]
    length = log(10)  # of nine letters and one to spare
    assert signs_of(ranked, 1.5, 0.7) == pytest.approx((1.0, -0.2 * length, 0.15 * length, 1.5, 4.0, 0.7))
    assert of_any(signs_of(ranked, -9.0, 0.7)) == pytest.approx((1.0, -0.2 * length, 0.15 * length, 0.0, 0.0, 0.7))
    alone = (1.0, -0.2 * length, MOST_LEAD * length, MOST_LIKELIER, 4.0, 0.0)
    assert signs_of(ranked[:1], math.inf, 0.0) == pytest.approx(alone)


@pytest.mark.parametrize(("balance", "probability"), [(1000, 0.00576), (2000, 0.586)])
def test_the_odds_become_a_probability(balance: float, probability: float) -> None:
    # James, Witten, Hastie and Tibshirani, An Introduction to Statistical Learning (2013), table 4.1 and section 4.3.3,
    # default on a credit card: values from memory
    weights = Weights(bias=-10.6513, score=0.0055, lead=0, likelier=0, rare=0, information=0)
    assert weights.probability((1.0, balance, 0, 0, 0, 0)) == pytest.approx(probability, rel=2e-3)


def test_odds_are_even_where_the_signs_weigh_nothing() -> None:
    weights = Weights(bias=1.0, score=2.0, lead=0, likelier=0, rare=0, information=0)
    assert weights.probability((1.0, -0.5, 0.3, 2.0, 1.0, 0.7)) == 0.5
    assert weights.probability((1.0, 0.0, 0.3, 2.0, 1.0, 0.7)) == pytest.approx(1 / (1 + exp(-1)))
