"""An answer after which it is asked again: the question stays, a time runs, and its end asks."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.core.job import events as e
from assistant.core.job.engine import decide
from assistant.core.job.state import evolve
from assistant.core.types import Intent
from tests.in_short import HEAD, LOWER, RAISE, Way, job

pytestmark = pytest.mark.pure
JOB = job(
    f"""{HEAD}
steps:
  - id: warm
    title: Warmth
    where: bay
    say: Feel the radiator hose.
    why: Hot coolant scalds.
    choice:
      name: hose
      ask: "How is it: cold, or still warm?"
      options:
        - {{id: cold, says: [it is cold], show: cold}}
        - {{id: warm, says: [still warm], show: still warm, refuse: Leave the cap shut., again: 10}}
{RAISE}{LOWER}
""".replace("refuse: Move it to hard ground.}", "refuse: Let it dry., again: 30}")
)
ASK = "How is it: cold, or still warm?"


def test_the_question_stays_and_a_time_runs() -> None:
    way = Way(JOB)
    assert way.do("option:warm") == "Leave the cap shut. I ask again in: ten minutes."
    assert way.waiting == "choice:hose"
    assert way.do("time") == "Time left for asking again: ten minutes."
    assert way.wait(9) == ""
    assert way.wait(1.1) == f"Look again. {ASK}"
    assert way.state.timers == ()
    assert way.do("option:warm", "option:cold").startswith("Cold.")


def test_an_answer_ends_the_time() -> None:
    way = Way(JOB)
    way.do("option:warm", "option:cold")
    assert way.state.timers == ()
    assert way.wait(60) == ""


def test_a_challenge_of_a_gate_is_asked_again_too() -> None:
    way = Way(JOB)
    way.do("option:cold", "option:grass")
    assert way.said == "Let it dry. I ask again in: thirty minutes."
    assert way.wait(31).startswith("Look again. What is it standing on?")
    way.do("option:grass", "option:concrete")
    assert way.state.timers == ()


def test_it_is_kept_in_the_journal_and_counts_while_the_job_is_put_aside() -> None:
    way = Way(JOB)
    way.do("option:warm")
    assert way.again() == way.state
    assert way.again().timers[0].due == way.at + timedelta(minutes=10)
    way.do("park")
    assert way.wait(4) == ""
    assert "Time left for asking again: six minutes." in way.do("go-on")
    way.do("park")
    assert way.wait(20) == ""
    assert way.do("go-on").count(ASK) == 1
    assert way.state.timers == ()


def test_where_the_clock_was_set_back_it_begins_anew() -> None:
    way = Way(JOB)
    way.do("option:warm", "park")
    events = decide(way.state, Intent("go-on"), way.at - timedelta(hours=2))
    state = way.state
    for event in events:
        state = evolve(state, event, way.at - timedelta(hours=2))
    assert state.timers[0].due == way.at - timedelta(hours=2) + timedelta(minutes=10)


def test_going_back_ends_it() -> None:
    way = Way(JOB)
    way.do("option:cold", "option:grass", "back")
    assert way.state.step == "warm"
    assert way.state.timers == ()
    assert not way.facts(e.TimerEnded)
