"""Someone alone: silence is asked about, a call for help acts at once, and the alarm goes on until somebody answers."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.core.job import events as e
from assistant.core.job.alone import AFTER_FIRST, ALARM_AGAIN, moment
from tests.talk import DRAIN, EVIDENCE, READY, Talk

UNDER = f"{READY} / {EVIDENCE}"


def levels(talk: Talk, seconds: int) -> list[int]:
    before = len(talk.facts())
    talk.wait(seconds)
    return [fact.level for fact in talk.facts()[before:] if isinstance(fact, e.CheckedIn)]


def test_it_asks_after_ten_two_and_one_minutes_and_then_raises_the_alarm_until_answered(talk: Talk) -> None:
    talk.say(UNDER)
    assert levels(talk, 590) == []
    assert levels(talk, 20) == [1]
    assert levels(talk, 100) == []
    assert levels(talk, 20) == [2]
    assert levels(talk, 60) == [3]
    assert levels(talk, 60) == [4, 5, 6]  # every twenty seconds
    talk.say("I am here")
    assert levels(talk, 590) == []


@pytest.mark.parametrize("words", ["help me", "I am stuck", "call for help", "I need help", "I can not get out"])
@pytest.mark.parametrize(
    "where", ["", UNDER, f"{UNDER} / {DRAIN}", f"{UNDER} / park the job", f"{UNDER} / stop listening"]
)
def test_a_call_for_help_acts_at_once_everywhere(talk: Talk, words: str, where: str) -> None:
    if where:
        talk.say(where)
    turn = talk.say(words)
    assert [type(row.event) for row in turn.recorded] == [e.HelpCalled]
    assert turn.reply.tone == "alarm"
    assert talk.state.calling


def test_the_alarm_of_a_call_goes_on_until_all_is_well(talk: Talk) -> None:
    talk.say(f"{UNDER} / help me")
    assert levels(talk, 65) == [1, 2, 3]
    talk.say("next step")  # another word does not end it
    assert talk.state.calling
    assert levels(talk, 45) == [1, 2]
    talk.say("I am all right")
    assert not talk.state.calling
    assert levels(talk, 120) == []


def test_who_is_not_all_right_needs_help(talk: Talk) -> None:
    talk.say(UNDER)
    talk.wait(600)
    turn = talk.say("I am not all right")
    assert [type(row.event) for row in turn.recorded] == [e.HelpCalled]


def test_a_job_put_aside_under_the_car_still_asks_until_the_person_is_out(talk: Talk) -> None:
    talk.say(f"{UNDER} / park the job")
    assert levels(talk, 610) == [1]
    talk.say("I am out")
    assert talk.said == "Good. You are out. I stop asking."
    assert levels(talk, 1200) == []


def test_beside_the_car_nobody_is_asked(talk: Talk) -> None:
    talk.say(READY.rsplit(" / ", 1)[0])
    assert talk.state.here.where == "beside"
    assert levels(talk, 1800) == []


def test_a_clock_that_is_set_back_brings_nothing(talk: Talk) -> None:
    talk.say(UNDER)
    assert moment(talk.state, talk.clock.now() - timedelta(hours=30), timedelta(minutes=10)) == ()


def test_the_waits_get_shorter() -> None:
    assert timedelta(minutes=10) > AFTER_FIRST[0] > AFTER_FIRST[1] > ALARM_AGAIN


def test_groans_are_no_answer(talk: Talk) -> None:
    talk.say(UNDER)
    talk.wait(610)
    for sound in ("ugh", "mmph", "hnng"):
        talk.say(sound)
    assert levels(talk, 200)[:2] == [2, 3]


@pytest.mark.parametrize("words", ["it is not", "I have not", "I am not all right"])
def test_a_denial_to_whether_all_is_well_is_a_call_for_help(talk: Talk, words: str) -> None:
    talk.say(UNDER)
    talk.wait(610)
    assert [type(row.event) for row in talk.say(words).recorded] == [e.HelpCalled]
