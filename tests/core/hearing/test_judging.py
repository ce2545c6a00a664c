"""Checks the verdict over likelihoods: Bayes' rule for wordings of one meaning, and what each threshold does."""

import math

import pytest

from assistant.core.hearing.found import Found, Match
from assistant.core.hearing.grammar import parse_expansion
from assistant.core.hearing.judging import JudgeSettings, agreed, judge
from assistant.core.hearing.parsing import parse
from assistant.core.hearing.word_graph import word_graph
from assistant.core.types import Heard, Hypothesis, Phrase, Verdict, Weighed

pytestmark = pytest.mark.pure
SETTINGS = JudgeSettings(
    accept=-0.5,
    amid_talk=-0.3,
    ask=-1.0,
    doubt=-2.0,
    alone=-0.1,
    spare=0.0,
    margin=1.5,
    second=0.5,
    word=0.0,
    fastest=30.0,
    left_over=1.0,
    rare=0.05,
    least_snr=3.0,
)
PHRASES = (Phrase("next", "next step"), Phrase("next", "go on"), Phrase("back", "last step"))
GRAPHS = [word_graph(parse_expansion(phrase.says), {}) for phrase in PHRASES]


def heard(**likelihoods: float) -> Heard:
    return Heard(allowed=tuple(Weighed(words.replace("_", " "), value) for words, value in likelihoods.items()))


@pytest.mark.parametrize(
    ("likelihood", "verdict"),
    [(0.0, Verdict.ACCEPTED), (-4.4, Verdict.ACCEPTED), (-4.6, Verdict.UNCLEAR), (-8.9, Verdict.UNCLEAR),
     (-9.1, Verdict.NOT_FOR_ME)],
)  # fmt: skip
def test_the_score_counts_for_each_letter(likelihood: float, verdict: Verdict) -> None:
    match = judge([heard(next_step=likelihood)], PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (verdict, "next step")
    assert match.margin == math.inf


@pytest.mark.parametrize(("likelihood", "verdict"), [(-2.6, Verdict.ACCEPTED), (-2.8, Verdict.UNCLEAR)])
def test_what_is_rarely_said_has_to_be_heard_nearer(likelihood: float, verdict: Verdict) -> None:
    rare = (Phrase("next", "next step", rare=4.0), *PHRASES[1:])  # from -0.5 to -0.3 a letter, of nine
    assert judge([heard(next_step=likelihood)], rare, GRAPHS, SETTINGS).verdict is verdict
    assert judge([heard(next_step=likelihood)], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED


def test_another_meaning_nearly_as_likely_is_asked_about() -> None:
    assert judge([heard(next_step=0.0, last_step=-1.6)], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED
    match = judge([heard(next_step=0.0, last_step=-1.4)], PHRASES, GRAPHS, SETTINGS)
    assert match.verdict is Verdict.UNCLEAR
    assert match.runner_up
    assert match.runner_up.words == "last step"


def test_two_wordings_of_one_meaning_count_together() -> None:
    match = judge([heard(next_step=-1.0, go_on=-1.0, last_step=-2.0)], PHRASES, GRAPHS, SETTINGS)
    assert match.margin == pytest.approx(1.0 + math.log(2))


def test_the_second_engine_decides_where_the_first_is_in_doubt() -> None:
    doubt = heard(next_step=0.0, last_step=-0.5)
    assert judge([doubt], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.UNCLEAR
    match = judge([doubt, heard(next_step=0.0, last_step=-6.0)], PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, "next step")
    match = judge([doubt, heard(next_step=-6.0, last_step=0.0)], PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, "last step")


def test_nothing_likely_is_not_for_us() -> None:
    assert judge([Heard()], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.NOT_FOR_ME


def found(words: str, phrase: Phrase, verdict: Verdict, score: float = 0.0) -> Match:
    steps = parse(word_graph(parse_expansion(phrase.says), {}), words.split())
    assert steps is not None
    return Match(verdict, Found(phrase, steps, score, 0.0))


def test_an_engine_that_wrote_freely_confirms_the_first_or_makes_it_ask() -> None:
    unsure = found("next step", PHRASES[0], Verdict.UNCLEAR, -0.6)
    same = found("go on", PHRASES[1], Verdict.ACCEPTED, -0.3)
    other = found("last step", PHRASES[2], Verdict.ACCEPTED, -0.3)
    assert agreed(unsure, same, SETTINGS).verdict is Verdict.ACCEPTED
    asked = agreed(unsure, other, SETTINGS)
    assert (asked.verdict, asked.best, asked.runner_up) == (Verdict.UNCLEAR, unsure.best, other.best)
    assert agreed(unsure, Match(Verdict.NOT_FOR_ME), SETTINGS).verdict is Verdict.UNCLEAR


@pytest.mark.parametrize(("score", "verdict"), [(-0.05, Verdict.ACCEPTED), (-0.3, Verdict.UNCLEAR)])
@pytest.mark.parametrize("first", [Verdict.NOT_FOR_ME, Verdict.UNCLEAR])
def test_against_the_first_another_engine_has_to_be_sure(first: Verdict, score: float, verdict: Verdict) -> None:
    wrong = found("next step", PHRASES[0], first, -0.6)
    other = found("last step", PHRASES[2], Verdict.ACCEPTED, score)
    assert agreed(wrong, other, SETTINGS).verdict is verdict


def test_who_wrote_no_letter_heard_no_words() -> None:
    likely = heard(next_step=0.0)
    notes = Heard((Hypothesis("♪♪ ♪♪", -0.1, "first"),), likely.allowed)
    assert judge([notes], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.NOT_FOR_ME
    assert judge([likely], PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED
