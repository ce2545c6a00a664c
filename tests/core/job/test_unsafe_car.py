"""A car that somebody said is not safe: nobody is told to do anything at it before it is made safe again."""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from tests.talk import CLOSE, DRAIN, EVIDENCE, LOWER, PLACE, READY, RUN, WHOLE, Talk

AT_THE_CAR = f"{READY} / {EVIDENCE}"
CLEAR = "Come out from under the car now. Keep clear of it."
STANDS = "Stop. Raise the front again, and set it down on both stands."
FILLED = f"{AT_THE_CAR} / {DRAIN} / {CLOSE}"
DOWN = f"{FILLED} / {LOWER}"


@pytest.mark.parametrize(
    ("way", "wanted"),
    [
        (f"{AT_THE_CAR} / next step / next step", "loosen the cap"),
        (f"{AT_THE_CAR} / {DRAIN.removesuffix(' / @600 / next step')}", "let it drain"),
        (FILLED, "pull the pan from under it"),
        (f"{FILLED} / next step", "take the stands out"),
    ],
)
def test_nothing_is_to_be_done_at_a_car_that_moved_on_its_stands(talk: Talk, way: str, wanted: str) -> None:
    talk.say(f"{way} / the car moved")
    assert talk.waiting.startswith("condition:"), wanted
    assert talk.said.startswith(f"{CLEAR} Stop. ")
    there = talk.state.step
    talk.say("next step / next step")
    assert (talk.waiting.partition(":")[0], talk.state.step) == ("condition", there)


def test_it_goes_on_once_each_thing_that_made_it_safe_is_said_to_hold_again(talk: Talk) -> None:
    talk.say(f"{AT_THE_CAR} / next step / next step / the car moved")
    talk.say("the parking brake is on")
    assert "Chock both back wheels" in talk.said
    talk.say("the chocks are in place")
    assert STANDS in talk.said
    talk.say("the car stands on both stands")
    assert "Loosen the cap of the filter housing" in talk.said
    assert talk.replayed() == talk.state


def test_what_a_check_asks_for_anyway_is_not_asked_for_twice(talk: Talk) -> None:
    talk.say(f"{AT_THE_CAR} / the car moved / the car stands on both stands")
    assert talk.waiting == "evidence:under-car/brake"
    talk.say(EVIDENCE)
    assert talk.waiting == "next"
    assert "under-car" in talk.state.gates


def test_what_was_said_to_hold_is_not_told_as_known_once_it_moves_again(talk: Talk) -> None:
    talk.say(f"{FILLED} / the car moved / the parking brake is on / the car moved")
    assert talk.said.startswith(f"{CLEAR} Stop. Pull the parking brake")


def test_what_was_said_to_hold_and_is_taken_back_is_not_told_as_known(talk: Talk) -> None:
    talk.say(f"{FILLED} / the car moved / the parking brake is on / that was wrong")
    assert talk.said.startswith("Taken back. I do not know whether the parking brake is on. Stop. Pull the parking")


def test_the_engine_is_switched_off_at_once_all_the_same(talk: Talk) -> None:
    talk.say(f"{DOWN} / {RUN.removeprefix(LOWER + ' / ').split(' / next step / next step / @300')[0]}")
    assert talk.state.step == "stop-engine"
    talk.say("the car moved")
    assert talk.said.startswith(f"{CLEAR} Switch the engine off.")


def test_at_the_bench_nothing_has_to_be_made_safe_first(talk: Talk) -> None:
    talk.say(f"{AT_THE_CAR} / {DRAIN} / the car moved")
    assert (talk.state.step, talk.waiting) == ("washer", "next")


@pytest.mark.parametrize("when", (9, 14, 18, 23, 30, 36, 44, 50, 56))
def test_a_job_comes_to_its_end_after_the_car_moved_at_any_moment(talk: Talk, when: int) -> None:
    ways = WHOLE.split(" / ")
    talk.say(" / ".join([*ways[: when + 1], "the car moved"]))
    for _ in range(8):
        if not talk.waiting.startswith("condition:"):
            break
        answers = {"brake-on": "the parking brake is on", "chocked": "the chocks are in place"}
        answers |= {"on-stands": "the car stands on both stands", "engine-running": "the engine is off"}
        talk.say(answers[talk.waiting.partition(":")[2]])
    assert not talk.waiting.startswith("condition:")
    assert any(isinstance(fact, e.DangerSaid) for fact in talk.facts())


def test_who_goes_back_before_it_was_raised_may_raise_it_in_another_way(talk: Talk) -> None:
    talk.say(f"{AT_THE_CAR} / the car moved")
    talk.say(" / ".join(["go back one step"] * 20))
    for _ in range(30):
        if talk.state.step == "lift":
            break
        talk.say("next step" if talk.waiting == "next" else "eighty four thousand two hundred kilometres")
    talk.say(f"the car is down on the ground / on the ramps / {PLACE.replace('one tonne / ', '')}")
    assert ("lift", "ramps") in talk.state.choices
    assert not talk.waiting.startswith("condition:on-stands")
