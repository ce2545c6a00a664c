"""Fasteners are told with their number and order, the torque last; turned further after it; new where they must be."""

from __future__ import annotations

import pytest

from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.fastening import order_of
from assistant.core.reply.summary import summarise
from tests.in_short import CAR, Way, job

pytestmark = pytest.mark.pure
TEXT = """
id: wheel
title: A wheel and a bolt
about: Invented for tests; nothing of it is meant to be done.
values:
  nut-torque: {kind: torque, name: wheel nut torque, find: Look in the manual., least: 50 N·m, most: 200 N·m}
  nuts: {kind: count, name: number of wheel nuts, find: Count them., least: 1 piece, most: 12 pieces}
  bolt-torque: {kind: torque, name: guide bolt torque, find: Look in the manual., least: 5 N·m, most: 60 N·m}
  bolt-angle: {kind: angle, name: guide bolt angle, find: Look in the manual., least: 10 °, most: 360 °}
parts:
  - {id: nuts, name: the wheel nuts, count: nuts, order: star, torque: nut-torque}
  - {id: bolt, name: the guide bolt, torque: bolt-torque, angle: bolt-angle, once: the bolt}
steps:
  - {id: all-off, title: All off, where: bench, say: Take all off., why: To see., opens: [nuts, bolt]}
  - id: bolt-in
    title: Guide bolt
    where: bench
    say: "Tighten the guide bolt to {bolt-torque}."
    why: It holds the caliper.
    closes: [bolt]
    tighten: {part: bolt}
  - id: nuts-on
    title: Wheel nuts
    where: bench
    say: Tighten the wheel nuts.
    why: They hold the wheel.
    closes: [nuts]
    tighten: {part: nuts}
  - {id: count, title: Count, where: bench, say: Go round once more., why: One is easily left out., needs: [all]}
gates:
  - id: all
    name: all the nuts
    intro: ""
    granted: Good.
    falls_on: [opened]
    asks:
      - id: number
        proves: [all]
        ask: How many did you tighten?
        denied: Tighten them all.
        kind: count
        equal: nuts
        too_little: One is lacking.
        too_much: There are not so many. Count again.
"""
JOB = job(TEXT)
VALUES = {"nut-torque": "110 N·m", "nuts": "5 pieces", "bolt-torque": "25 N·m", "bolt-angle": "60 °"}


def car(**other: str) -> Vehicle:
    values = {
        name: {"value": value, "source": "invented"}
        for name, value in {**VALUES, **{key.replace("_", "-"): value for key, value in other.items()}}.items()
    }
    return Vehicle.model_validate({**CAR.model_dump(), "values": values})


NEW = "new:bolt"
BOLT = (NEW, "value=25 N·m", "confirm", "value=60 °", "confirm")


def test_how_many_and_in_which_order_is_said_and_the_torque_last() -> None:
    way = Way(JOB, car())
    said = way.do("next", *BOLT)
    assert said == (
        "Noted: guide bolt, turned by sixty, degrees, six zero. Number of fasteners: five. "
        "Number them around the ring. Take them in this order: one, three, five, two, four. Tighten the wheel nuts. "
        "Tighten to: one hundred ten, newton metres. What torque did you give it?"
    )


@pytest.mark.parametrize(
    ("nuts", "order"),
    [("4 pieces", (1, 3, 2, 4)), ("6 pieces", (1, 4, 3, 6, 2, 5)), ("1 piece", ()), ("2 pieces", ())],
)
def test_the_order_is_the_one_that_is_worked_out(nuts: str, order: tuple[int, ...]) -> None:
    state = Way(JOB, car(nuts=nuts)).state
    assert order_of(state, JOB.part("nuts")) == order


def test_a_cover_is_tightened_from_its_middle() -> None:
    cover = job(TEXT.replace("count: nuts, order: star", "count: 10, order: inside-out"))
    assert order_of(Way(cover, car()).state, cover.part("nuts")) == (3, 8, 2, 9, 4, 7, 1, 10, 5, 6)


def test_the_number_of_fasteners_is_asked_for_where_nobody_told_it() -> None:
    values = {name: spec for name, spec in car().values.items() if name != "nuts"}
    way = Way(JOB, car().model_copy(update={"values": values}))
    way.do("next", *BOLT)
    assert way.waiting == "value:nuts"
    assert "order: one, three, two, four" in way.do("value=4 pieces", "confirm")


def test_what_may_be_used_once_has_to_be_new_before_its_part_is_closed() -> None:
    way = Way(JOB, car())
    assert way.do("next").endswith("Use it only once. When a new one is in, say: bolt is new.")
    assert way.waiting == "new:bolt"
    for words in ("next", "claim", "value=25 N·m", "confirm", "new:nuts"):
        way.do(words)
        assert way.waiting == "new:bolt"
        assert way.state.ledger.parts == ("nuts", "bolt")
    assert way.do("denied:new").startswith("Then do not close it with that. Put in a new one.")
    assert way.do(NEW) == "Bolt is new. What torque did you give it?"


def test_that_it_is_new_is_taken_back_and_asked_again_after_going_back() -> None:
    way = Way(JOB, car())
    way.do("next", NEW)
    assert way.do("undo").startswith("Taken back: bolt is new.")
    assert way.waiting == "new:bolt"
    way.do(NEW, "back", "next")
    assert way.waiting == "new:bolt"
    way.do(*BOLT)
    assert "The guide bolt counts as open again." in way.do("back")
    assert way.waiting == "new:bolt"


def test_after_the_torque_the_further_turn_is_asked_for_and_confirmed() -> None:
    way = Way(JOB, car())
    said = way.do("next", NEW, "value=25 N·m", "confirm")
    assert said.endswith("Tell me how far you turned it. Now turn it further by: sixty, degrees, six zero.")
    assert way.state.ledger.parts == ("nuts", "bolt")
    for words in ("next", "confirm", "value=25 N·m"):
        way.do(words)
        assert way.waiting == "turn:bolt"
    assert "Turn it on to the full angle" in way.do("value=40 °")
    assert "too far" in way.do("value=90 °")
    assert way.do("value=61 °").endswith("Say: confirm guide bolt.")
    way.do("confirm")
    assert way.state.ledger.parts == ("nuts",)
    assert way.again() == way.state
    assert dict(summarise(way.state, way.at).lines)["guide bolt turned further"] == "61 °"
    assert "the bolt" in dict(summarise(way.state, way.at).lines)["replaced"]


def test_a_torque_is_taken_back_before_the_turn() -> None:
    way = Way(JOB, car())
    way.do("next", NEW, "value=25 N·m", "confirm")
    assert way.do("undo").startswith("Taken back: guide bolt, twenty-five, newton metres.")
    assert way.waiting == "tighten:bolt"
    assert not way.state.torques
    way.do("value=25 N·m", "confirm", "value=60 °", "undo")
    assert way.waiting == "turn:bolt"


def test_opened_again_it_is_turned_again() -> None:
    way = Way(JOB, car())
    way.do("next", *BOLT, "back", NEW, "value=25 N·m", "confirm")
    assert way.waiting == "turn:bolt"
    assert not way.state.angles


@pytest.mark.parametrize(("count", "said"), [("4", "One is lacking."), ("6", "There are not so many.")])
def test_a_count_has_to_be_met_exactly(count: str, said: str) -> None:
    way = Way(JOB, car())
    way.do("next", *BOLT, "value=110 N·m", "confirm")
    assert way.waiting == "evidence:all/number"
    assert said in way.do(f"value={count} pieces")
    assert not way.facts(e.EvidenceGiven)
    way.do("value=5 pieces", "confirm", "next")
    assert way.state.finished_at
