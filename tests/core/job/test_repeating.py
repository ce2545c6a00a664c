"""Steps are repeated until something is so, some rounds at most; going back takes rounds back."""

from __future__ import annotations

import pytest

from assistant.core.job.moving import rounds
from tests.in_short import Way, job

pytestmark = pytest.mark.pure
JOB = job("""
id: bleed
title: Bleed the brakes
about: Invented for tests; nothing of it is meant to be done.
steps:
  - {id: begin, title: Begin, where: beside, say: Begin., why: To begin.}
  - {id: pump, title: Pump, where: seat, say: Press the pedal slowly., why: To move the air.}
  - id: rest
    title: Rest
    where: seat
    say: Wait a little.
    why: To settle.
    optional: true
  - id: feel
    title: Feel
    where: seat
    say: Press the pedal.
    why: Air is soft.
    choice:
      name: pedal
      ask: "How is it: hard, or soft?"
      options:
        - {id: hard, says: [it is hard], show: hard}
        - {id: soft, says: [it is soft], show: soft}
    repeat: {to: pump, until: ["pedal:hard"], most: 3, out: workshop}
  - {id: close, title: Close, where: bay, say: Close it., why: To drive., then: end}
  - {id: workshop, title: Workshop, where: beside, say: Call a workshop., why: There is air in it.}
  - {id: end, title: End, where: beside, say: Wash your hands., why: Fluid harms the skin.}
""")
ROUND = ("next", "next", "option:soft")


def test_it_goes_back_until_it_is_so() -> None:
    way = Way(JOB)
    said = way.do("next", *ROUND)
    assert said == "Soft. Not yet. Once more. Press the pedal slowly."
    way.do("next", "next", "option:hard")
    assert way.state.step == "close"
    assert way.state.path == ("begin", "pump", "rest", "feel", "pump", "rest", "feel", "close")


def test_after_the_last_round_it_leads_out() -> None:
    way = Way(JOB)
    way.do("next", *ROUND, *ROUND)
    assert way.state.step == "pump"
    way.do(*ROUND)
    assert way.state.step == "workshop"
    assert way.again() == way.state


def test_the_newest_answer_counts() -> None:
    way = Way(JOB)
    way.do("next", *ROUND, *ROUND, "next", "next", "option:hard")
    assert dict(way.state.choices)["pedal"] == "hard"
    assert way.state.step == "close"


def test_going_back_takes_a_round_back() -> None:
    way = Way(JOB)
    way.do("next", *ROUND, *ROUND)
    way.do("back")
    assert way.state.step == "feel"
    assert rounds(way.state, way.state.here) == 2
    way.do("option:soft", *ROUND)
    assert way.state.step == "workshop"


def test_going_back_through_rounds_ends_at_the_first_step() -> None:
    way = Way(JOB)
    way.do("next", *ROUND, *ROUND, "next")
    while len(way.state.path) > 1:
        path = way.state.path
        way.do("back")
        assert way.state.path == path[:-1]
        assert way.again() == way.state
    assert dict(way.state.choices) == {}


def test_what_was_said_rounds_ago_is_taken_back_where_it_was_said() -> None:
    """A step that was left out leaves nothing to take back: what came before it is in an earlier round."""
    way = Way(JOB)
    way.do("next", *ROUND, "next", "skip")
    assert way.state.path[-1] == "feel"
    way.do("undo")
    assert way.state.path == ("begin", "pump", "rest", "feel", "pump")
    way.do("undo")
    assert way.state.path == ("begin", "pump", "rest", "feel")
    way.do("undo")
    assert way.state.path == ("begin", "pump", "rest")
    way.do("next", "option:soft", *ROUND, *ROUND)
    assert way.state.step == "workshop"


def test_reached_anew_all_rounds_are_to_be_had_again() -> None:
    way = Way(JOB)
    way.do("next", *ROUND, *ROUND, *ROUND)
    way.do(*["back"] * 10)
    assert way.state.path == ("begin",)
    way.do("next", *ROUND, *ROUND)
    assert way.state.step == "pump"
