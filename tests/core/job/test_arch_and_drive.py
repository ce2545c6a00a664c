"""In a wheel arch somebody is looked after as under the car; at the wheel of a car that moves nothing is asked."""

from __future__ import annotations

from datetime import timedelta

import pytest
from pydantic import ValidationError

from assistant.core.job import events as e
from assistant.core.job.alone import ALARM, DRIVING
from assistant.core.job.engine import understood
from assistant.core.types import Hypothesis, Intent, Understanding, Verdict
from tests.in_short import HEAD, LOWER, RAISE, Way, job

pytestmark = pytest.mark.pure
FIRST = timedelta(minutes=10)
TEXT = f"""{HEAD}
parts: [{{id: wheel, name: the wheel, blocks: [driving]}}]
steps:
{RAISE}
  - id: reach
    title: Look at the hose
    where: arch
    say: Look at the hose.
    why: It chafes.
    needs: [place, wheel-arch]
{LOWER}
  - id: warm
    title: Warm it up
    where: drive
    say: Drive for ten minutes.
    why: Warm oil flows out.
    acts: [driving]
    wait: {{minutes: 10, about: driving}}
  - {{id: test, title: Brake gently, where: drive, say: Brake gently., why: To bed them in., acts: [driving]}}
  - id: feel
    title: How it brakes
    where: seat
    say: Think of how it braked.
    why: A pull shows a stuck pad.
    choice:
      name: pull
      ask: "Did it pull to a side, or brake straight?"
      options:
        - {{id: side, says: [it pulled to a side], show: it pulled}}
        - {{id: straight, says: [it braked straight], show: straight}}
"""
JOB = job(TEXT)
REACHING = ("option:concrete", "confirm", "next", "option:firm", "confirm")


def reaching() -> Way:
    way = Way(JOB)
    way.do(*REACHING)
    assert way.state.step == "reach"
    return way


def on_the_road() -> Way:
    way = reaching()
    way.do("next", "next")
    assert way.state.step == "warm"
    return way


def levels(way: Way) -> list[int]:
    return [fact.level for fact in way.facts(e.CheckedIn) if isinstance(fact, e.CheckedIn)]


def test_silence_from_the_wheel_arch_is_asked_about_as_from_under_the_car() -> None:
    way = reaching()
    assert way.wait(9, FIRST) == ""
    assert way.wait(2, FIRST) == "Are you all right? Say: I am here."
    way.wait(3, FIRST)
    assert "Someone may need help with the car." in way.wait(2, FIRST)
    assert levels(way) == [1, 2, ALARM]


def test_put_aside_there_they_are_told_to_take_their_arms_out() -> None:
    assert "Take your arms out of the wheel arch. Then say: I am out." in reaching().do("park")


def test_what_has_to_hold_there_is_asked_for_again_once_it_may_be_over() -> None:
    way = reaching()
    way.do("danger")
    assert way.waiting == "condition:on-stands"


@pytest.mark.parametrize(("place", "where"), [("reach", "in the wheel arch"), ("warm", "on the road")])
def test_where_am_i_tells_it(place: str, where: str) -> None:
    way = reaching() if place == "reach" else on_the_road()
    assert f", {where}." in way.do("where")


def test_a_drive_is_told_with_what_to_say_once_the_car_stands() -> None:
    way = on_the_road()
    assert way.said.endswith("Drive for ten minutes. Stop the car first. Say: next step.")
    assert way.wait(10) == "The time for driving is over. Stop the car first. Say: next step."
    assert way.do("next") == "Brake gently. Stop the car first. Say: next step."
    assert way.do("next").endswith("Did it pull to a side, or brake straight?")


def test_nobody_is_asked_while_they_drive_and_an_alarm_comes_late() -> None:
    way = on_the_road()
    way.wait(10)
    for _ in range(5):
        assert way.wait(10, FIRST) == ""
    way.wait(DRIVING.total_seconds() / 60 - 51, FIRST)
    assert levels(way) == []
    assert way.wait(15, FIRST).startswith("No answer. I raise the alarm.")
    assert levels(way) == [ALARM]
    assert way.wait(1, FIRST)  # and again, until somebody answers
    assert "Good." in way.do("here")
    assert way.wait(30, FIRST) == ""


@pytest.mark.parametrize("verdict", [Verdict.UNCLEAR, Verdict.NOT_FOR_ME])
def test_what_was_not_understood_is_asked_about_in_the_seat_and_not_on_the_road(verdict: Verdict) -> None:
    way = on_the_road()
    heard = Understanding(
        verdict, Intent("next", "next step"), heard=(Hypothesis("text", 0.0, "typed"),), expected=True
    )
    assert understood(way.state, heard, way.at) == (e.LeftAlone("text"),)
    way.wait(10)
    way.do("next", "next")
    assert isinstance(understood(way.state, heard, way.at)[0], e.NotUnderstood)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("say: Brake gently., why: To bed them in., acts: [driving]", "say: Brake gently., why: To bed them in."),
        ("acts: [driving]}", "acts: [driving], claim: {name: it, ask: And now, says: [it is so]}}"),
        ("acts: [driving]}", "acts: [driving], closes: [wheel]}"),
    ],
)
def test_a_step_on_the_road_asks_nothing_and_says_that_the_car_moves(before: str, after: str) -> None:
    assert before in TEXT
    with pytest.raises(ValidationError):
        job(TEXT.replace(before, after))
