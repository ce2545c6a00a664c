"""Checks the verdict over likelihoods: Bayes' rule for wordings of one meaning, the mean over witnesses, and what each
threshold does."""

import math
from dataclasses import replace

import pytest

from assistant.core.grammar.jsgf import parse_expansion
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.verdict.judging import (
    FAR,
    HELD,
    UNTOLD,
    JudgeSettings,
    judge,
    judge_together,
    rank_together,
    signs_together,
)
from assistant.core.hearing.verdict.odds import MOST_LIKELIER, Weights
from assistant.core.hearing.verdict.rivals import ALONE
from assistant.core.hearing.verdict.weighing import FIRST
from assistant.core.types import Heard, Hypothesis, Phrase, Verdict, Weighed

pytestmark = pytest.mark.pure
SETTINGS = JudgeSettings(
    accept=-0.5,
    accept_amid_talk=-0.3,
    accept_in_noise=-0.1,
    clear_snr=15.0,
    ask=-1.0,
    doubt=-2.0,
    together=Weights(  # of nine letters
        bias=4.0, score=10.0 / math.log(10), information=0.0, likelier=9.0, lead=0.0, rare=-9.0
    ),
    sure=0.5,
    unsure=0.01,
    twins=1.5,
    contraries=2.0,
    spare=0.0,
    margin=1.5,
    word=0.0,
    fastest=30.0,
    left_over=1.0,
    rare=0.05,
    least_snr=3.0,
)
PHRASES = (Phrase("next", "next step"), Phrase("next", "go on"), Phrase("back", "last step"))
GRAPHS = [word_graph(parse_expansion(phrase.says), {}) for phrase in PHRASES]


def heard(**likelihoods: float) -> Heard:
    weighed = tuple(Weighed(words.replace("_", " "), value) for words, value in likelihoods.items())
    return Heard((Hypothesis("I", 0.0, "one"),), weighed)  # something shorter than any phrase


@pytest.mark.parametrize(
    ("likelihood", "verdict"),
    [(0.0, Verdict.ACCEPTED), (-4.4, Verdict.ACCEPTED), (-4.6, Verdict.UNCLEAR), (-8.9, Verdict.UNCLEAR),
     (-9.1, Verdict.NOT_FOR_ME)],
)  # fmt: skip
def test_the_score_counts_for_each_letter(likelihood: float, verdict: Verdict) -> None:
    match = judge(heard(next_step=likelihood), PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (verdict, "next step")
    assert match.margin == math.inf


@pytest.mark.parametrize(("likelihood", "verdict"), [(-2.6, Verdict.ACCEPTED), (-2.8, Verdict.UNCLEAR)])
def test_what_is_rarely_said_has_to_be_heard_nearer(likelihood: float, verdict: Verdict) -> None:
    rare = (Phrase("next", "next step", rare=4.0), *PHRASES[1:])  # from -0.5 to -0.3 a letter, of nine
    assert judge(heard(next_step=likelihood), rare, GRAPHS, SETTINGS).verdict is verdict
    assert judge(heard(next_step=likelihood), PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED


def test_another_meaning_nearly_as_likely_is_asked_about() -> None:
    assert judge(heard(next_step=0.0, last_step=-1.6), PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED
    match = judge(heard(next_step=0.0, last_step=-1.4), PHRASES, GRAPHS, SETTINGS)
    assert match.verdict is Verdict.UNCLEAR
    assert match.runner_up
    assert match.runner_up.words == "last step"


def test_two_wordings_of_one_meaning_count_together() -> None:
    match = judge(heard(next_step=-1.0, go_on=-1.0, last_step=-2.0), PHRASES, GRAPHS, SETTINGS)
    assert match.margin == pytest.approx(1.0 + math.log(2))


def test_all_engines_and_the_sound_have_a_say_where_the_first_is_in_doubt() -> None:
    first, second = heard(next_step=-2.7, last_step=-2.7), heard(next_step=-0.9, last_step=-5.4)  # of nine letters
    assert judge(first, PHRASES, GRAPHS, SETTINGS).verdict is Verdict.UNCLEAR
    match = judge_together([first, second], {"next step": -0.2, "last step": -0.3}, PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, "next step")
    assert match.best
    assert match.best.score == pytest.approx((-0.3 - 0.1 - 0.2) / 3)
    assert match.margin == pytest.approx((0.5 + 0.1) / 3 + HELD * MOST_LIKELIER)


def test_of_meanings_that_score_nearly_alike_the_later_engines_tell_which() -> None:
    first, second = heard(next_step=-2.7, last_step=-3.0), heard(next_step=-4.0, last_step=-1.0)
    by_sound = {"next step": -0.1, "last step": -0.5}
    best, other = rank_together([first, second], by_sound, PHRASES, GRAPHS, SETTINGS)
    assert (best.words, other.words) == ("last step", "next step")
    assert best.score < other.score
    assert best.evidence - other.evidence == pytest.approx(best.score - other.score + HELD * 3)
    assert signs_together([best, other], [first, second], SETTINGS).lead < 0
    assert rank_together([first], by_sound, PHRASES, GRAPHS, SETTINGS)[0].words == "next step"


def test_one_witness_may_miss_what_the_others_hear() -> None:
    first = heard(last_step=-9.0)
    match = judge_together([first, heard(next_step=0.0)], {"next step": 0.0}, PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (Verdict.ACCEPTED, "next step")
    assert match.best
    assert match.best.score == pytest.approx(FAR / 3)


@pytest.mark.parametrize(
    ("by_sound", "sure", "verdict"),
    [(-0.3, 0.5, Verdict.ACCEPTED), (-0.5, 0.5, Verdict.UNCLEAR), (-0.3, 0.9, Verdict.UNCLEAR),
     (-1.5, 0.9, Verdict.UNCLEAR)],
)  # fmt: skip
def test_what_is_more_likely_meant_than_not_is_taken(by_sound: float, sure: float, verdict: Verdict) -> None:
    first, second = heard(next_step=-4.5), heard(next_step=-2.7)  # -0.5 and -0.3 a letter
    match = judge_together([first, second], {"next step": by_sound}, PHRASES, GRAPHS, replace(SETTINGS, sure=sure))
    assert match.verdict is verdict  # even at -0.4, nine to one at -0.18
    assert match.best
    assert match.best.score == pytest.approx((-0.5 - 0.3 + max(by_sound, FAR)) / 3)


def test_what_is_rarely_said_is_asked_about_rather_than_passed_over() -> None:
    rare = (Phrase("next", "next step", rare=4.0), *PHRASES[1:])
    near = heard(next_step=0.0)
    assert judge_together([near, near], {"next step": 0.0}, PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED
    assert judge_together([near, near], {"next step": 0.0}, rare, GRAPHS, SETTINGS).verdict is Verdict.UNCLEAR


def test_what_is_hardly_likely_was_not_for_us() -> None:
    first, second = heard(next_step=-8.1), heard(next_step=-8.1)
    match = judge_together([first, second], {"next step": -0.9}, PHRASES, GRAPHS, SETTINGS)
    assert match.verdict is Verdict.NOT_FOR_ME


def test_two_meanings_as_likely_as_each_other_are_asked_about() -> None:
    settings = replace(SETTINGS, together=replace(SETTINGS.together, likelier=1.0))
    alike, unlike = heard(next_step=0.0, last_step=0.1), heard(next_step=0.0, last_step=-0.9)
    sound = {"next step": 0.0, "last step": -0.6}
    match = judge_together([alike, alike], sound, PHRASES, GRAPHS, settings)
    assert match.verdict is Verdict.UNCLEAR
    assert match.best
    assert match.best.words == "next step"  # what sounds more like what was written
    assert judge_together([unlike, unlike], sound, PHRASES, GRAPHS, settings).verdict is Verdict.ACCEPTED


def test_two_meanings_that_score_alike_are_asked_about() -> None:
    alike = heard(next_step=0.0, last_step=0.0)
    match = judge_together([alike, alike], {"next step": 0.0, "last step": 0.0}, PHRASES, GRAPHS, SETTINGS)
    assert (match.verdict, match.margin) == (Verdict.UNCLEAR, 0.0)
    assert match.runner_up
    assert match.runner_up.words == "last step"


@pytest.mark.parametrize(("more", "verdict"), [(15, Verdict.ACCEPTED), (16, Verdict.UNCLEAR)])
def test_who_said_much_more_than_a_phrase_is_not_believed_to_have_said_it(more: int, verdict: Verdict) -> None:
    text = "next step".ljust(9 + more, "a")
    settings = replace(SETTINGS, left_over=0.0)
    match = judge(replace(heard(next_step=0.0), written=(Hypothesis(text, 0.0, "one"),)), PHRASES, GRAPHS, settings)
    assert (match.verdict, match.best and match.best.words) == (verdict, "next step")


AMOUNTS = tuple(Phrase(words, words) for words in ("fifteen litres", "fifty litres", "twelve litres"))


@pytest.mark.parametrize(
    ("rival", "first_lead", "lead", "verdict"),
    [("fifty", 0.0, 1.6, Verdict.ACCEPTED), ("fifty", 0.0, 1.4, Verdict.UNCLEAR), ("fifty", 1.0, 1.4, Verdict.ACCEPTED),
     ("twelve", 0.0, 1.4, Verdict.ACCEPTED)],
)  # fmt: skip
def test_a_number_has_to_be_clearly_likelier_than_its_twin(
    rival: str, first_lead: float, lead: float, verdict: Verdict
) -> None:
    graphs = [word_graph(parse_expansion(phrase.says), {}) for phrase in AMOUNTS]
    first, second = (heard(fifteen_litres=0.0, **{f"{rival}_litres": -of}) for of in (first_lead, lead))
    match = judge_together([first, second], {"fifteen litres": 0.0}, AMOUNTS, graphs, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (verdict, "fifteen litres")
    if verdict is Verdict.UNCLEAR:
        assert match.runner_up
        assert match.runner_up.words == "fifty litres"


TIGHT = (Phrase("claim", "it is tight", affirms=True), Phrase("denied", "it is not tight", "claim"),
         Phrase("denied", "not yet"), Phrase("open", "what is tight"))  # fmt: skip
TIGHT_GRAPHS = [word_graph(parse_expansion(phrase.says), {}) for phrase in TIGHT]


@pytest.mark.parametrize(("lead", "verdict"), [(2.1, Verdict.ACCEPTED), (1.9, Verdict.UNCLEAR)])
def test_what_affirms_has_to_be_clearly_likelier_than_what_denies_it(lead: float, verdict: Verdict) -> None:
    first, second = heard(it_is_tight=0.0, it_is_not_tight=0.0), heard(it_is_tight=0.0, it_is_not_tight=-lead)
    match = judge_together([first, second], {"it is tight": 0.0}, TIGHT, TIGHT_GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (verdict, "it is tight")
    if verdict is Verdict.UNCLEAR:
        assert match.runner_up
        assert match.runner_up.words == "it is not tight"


@pytest.mark.parametrize(
    ("written", "lead", "verdict"),
    [("It is tight.", ALONE - 0.1, Verdict.UNCLEAR), ("It is bright.", ALONE - 0.1, Verdict.UNCLEAR),
     ("It is bright.", ALONE + 0.1, Verdict.ACCEPTED), ("It is tight.", ALONE + 0.1, Verdict.ACCEPTED)],
)  # fmt: skip
def test_one_engine_alone_has_to_hold_the_contrary_far_less_likely_whatever_it_wrote(
    written: str, lead: float, verdict: Verdict
) -> None:
    one = replace(heard(it_is_tight=0.0, it_is_not_tight=-lead), written=(Hypothesis(written, 0.0, "one"),))
    assert judge(one, TIGHT, TIGHT_GRAPHS, SETTINGS).verdict is verdict


@pytest.mark.parametrize(
    ("of_first", "lead", "verdict"),
    [(0.0, 1.9, Verdict.UNCLEAR), (0.0, 2.1, Verdict.ACCEPTED), (-2.0, 2.9, Verdict.UNCLEAR),
     (-2.0, 3.1, Verdict.ACCEPTED)],
)  # fmt: skip
def test_a_denial_that_is_hardly_likelier_than_what_it_denies_is_asked_about(
    of_first: float, lead: float, verdict: Verdict
) -> None:
    first = heard(it_is_not_tight=of_first, it_is_tight=0.0)
    second = heard(it_is_not_tight=0.0, it_is_tight=-lead)
    match = judge_together([first, second], {"it is not tight": 0.0}, TIGHT, TIGHT_GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.words) == (verdict, "it is not tight")
    if verdict is Verdict.UNCLEAR:
        assert match.runner_up
        assert match.runner_up.words == "it is tight"


def test_which_denial_it_was_is_no_doubt_that_it_was_one() -> None:
    match = judge(heard(it_is_not_tight=0.0, not_yet=-0.1), TIGHT, TIGHT_GRAPHS, SETTINGS)
    assert (match.verdict, match.best and match.best.phrase.option) == (Verdict.ACCEPTED, "claim")
    match = judge(heard(it_is_not_tight=0.0, it_is_tight=-1.4), TIGHT, TIGHT_GRAPHS, SETTINGS)
    assert match.verdict is Verdict.UNCLEAR


def test_a_denial_in_the_very_words_of_a_phrase_is_that_phrase() -> None:
    phrases = (Phrase("denied", "it moved", "option:firm"), Phrase("option", "it moved", "moved", affirms=True))
    graphs = [word_graph(parse_expansion(phrase.says), {}) for phrase in phrases]
    match = judge(heard(it_moved=0.0), phrases, graphs, SETTINGS)
    assert (match.verdict, match.best and match.best.phrase.option) == (Verdict.ACCEPTED, "moved")


def test_an_engine_that_heard_no_speech_holds_nothing_likely() -> None:
    nothing = Heard(allowed=(Weighed("next step", -math.inf),))
    match = judge_together([heard(next_step=0.0), nothing], {"next step": 0.0}, PHRASES, GRAPHS, SETTINGS)
    assert match.best
    assert match.best.score == pytest.approx(FAR / 3)
    assert match.verdict is Verdict.UNCLEAR  # however near the others hold it


@pytest.mark.parametrize(
    ("others", "likelier"),
    [([heard(next_step=0.0, last_step=-2.0)], 2.0 + FIRST), ([], 1.0), ([Heard()], 1.0),
     ([Heard(allowed=(Weighed("next step", -math.inf), Weighed("last step", -math.inf)))], 1.0),
     ([heard(next_step=0.0)], MOST_LIKELIER)],
)  # fmt: skip
def test_only_who_weighed_both_tells_which_is_likelier(others: list[Heard], likelier: float) -> None:
    everyone = [heard(next_step=0.0, last_step=-1.0), *others]
    ranked = rank_together(everyone, {}, PHRASES, GRAPHS, SETTINGS)
    assert signs_together(ranked, everyone, SETTINGS).likelier == pytest.approx(likelier)


def test_what_the_sound_tells_of_a_phrase_counts_for_each_letter() -> None:
    told = Heard(allowed=(Weighed("next step", -0.9, 5.4), Weighed("last step", -1.8, 4.5)))
    ranked = rank_together([heard(next_step=0.0), told], {}, PHRASES, GRAPHS, SETTINGS)
    assert signs_together(ranked, [heard(next_step=0.0), told], SETTINGS).information == pytest.approx(5.4 / 9)
    assert signs_together(ranked, [heard(next_step=0.0)], SETTINGS).information == UNTOLD  # which can't tell
    other = Heard(allowed=(Weighed("next step", -0.9), Weighed("last step", -1.8, 4.5)))
    assert signs_together(ranked, [other], SETTINGS).information == 0.0  # which told of what is likelier


def test_nothing_likely_is_not_for_us() -> None:
    assert judge(Heard(), PHRASES, GRAPHS, SETTINGS).verdict is Verdict.NOT_FOR_ME


def test_who_wrote_no_letter_heard_no_words() -> None:
    likely = heard(next_step=0.0)
    notes = Heard((Hypothesis("♪♪ ♪♪", -0.1, "first"),), likely.allowed)
    assert judge(notes, PHRASES, GRAPHS, SETTINGS).verdict is Verdict.NOT_FOR_ME
    assert judge(likely, PHRASES, GRAPHS, SETTINGS).verdict is Verdict.ACCEPTED
    assert judge_together([notes, likely], {}, PHRASES, GRAPHS, SETTINGS).verdict is Verdict.NOT_FOR_ME
