"""A job that lost the end of its record: nothing of the car is sure any more, and nobody is led on by what was lost."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import reduce
from itertools import groupby

import pytest

from assistant.core.job import events as e
from assistant.core.job.engine import decide
from assistant.core.job.state import State, evolve, fold, opening
from assistant.core.proof.book import Book, noted
from assistant.core.proof.promises import broken_by, broken_in
from assistant.core.reply.answers import answer
from assistant.core.types import Intent
from assistant.path.turn import meant
from tests.chance import turns
from tests.talk import EVIDENCE, ON_RAMPS, PLACE, RAMPS, READY, WHOLE, Talk

LOST = e.TailLost(3, "the end of the job is missing")


@pytest.fixture
def whole(talk: Talk) -> list[list[e.Recorded]]:
    """A whole job, its facts by turns."""
    talk.say(WHOLE)
    return [list(facts) for _, facts in groupby(talk.journal.read(talk.desk.job), key=lambda row: row.at)]


def told(state: State, book: Book, events: tuple[e.Event, ...], at: datetime) -> tuple[State, Book, list[str]]:
    """Return where facts lead, and which promises they break on the way."""
    broken: list[str] = []
    for event in events:
        broken += broken_by(state, book, event)
        book, state = noted(state, book, event), evolve(state, event, at)
    return state, book, [*broken, *broken_in(state, book)]


def test_wherever_the_end_is_lost_no_promise_is_broken(
    whole: list[list[e.Recorded]],
) -> None:
    """From each place the talk goes on by chance, mostly forward, with a book that knows of no proof any more."""
    for kept in range(1, len(whole), 4):
        first, *rest = (row for turn in whole[:kept] for row in turn)
        assert isinstance(first.event, e.JobOpened)
        state, book, at = opening(first.event, first.at), Book(), first.at
        for row in rest:
            state, book, _ = told(state, book, (row.event,), row.at)
        state, book, _ = told(state, book, (LOST,), at)
        assert not state.gates
        assert not state.conditions
        for turn in (lambda state: Intent("go-on"), *turns(state.procedure, kept, 120)):
            meant = turn(state)
            if isinstance(meant, Intent):
                state, book, broken = told(state, book, decide(state, meant, at), at)
                assert broken == [], (kept, meant, state.step)
            if state.finished_at:
                break


AGAIN = "the engine is off / it is in first gear now / the car stands on both stands"
"""What is asked for, one by one, before anybody is led under the car again."""


def test_what_was_lost_is_told_and_everything_is_shown_anew_before_anybody_is_led_under_the_car(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    sure = talk.state
    assert (sure.step, sure.gates) == ("tray-off", ("place", "under-car"))
    talk.desk.state = evolve(sure, LOST, talk.clock.now())
    said = meant(talk.desk, Intent("go-on")).reply.say
    assert said.startswith("My record of this job is damaged. Of its end I lost three facts.")
    assert "look whether it is done already" in said
    assert talk.state.lost is None
    assert (talk.state.readings, talk.state.ledger) == (sure.readings, sure.ledger)
    waited = [talk.waiting, *(talk.say(words) and talk.waiting for words in AGAIN.split(" / "))]
    assert waited == [
        "condition:engine-running", "condition:in-gear", "condition:on-stands", "evidence:place/ground",
    ]  # fmt: skip
    talk.say(f"{PLACE} / {EVIDENCE}")
    assert (talk.waiting, talk.state.step) == ("next", "tray-off")


def test_silence_goes_on_to_be_counted_from_the_last_word(talk: Talk) -> None:
    """A fact that the program writes by itself is no sign of life."""
    before = talk.state
    assert evolve(before, LOST, talk.clock.now() + timedelta(hours=1)).heard_at == before.heard_at


RAISED = {
    "stands": (f"{READY} / {EVIDENCE}", AGAIN, f"{PLACE} / {EVIDENCE}", "ramps"),
    "ramps": (
        f"{RAMPS} / {ON_RAMPS}",
        "the engine is off / it is in first gear now / the car sits in the hollows again",
        f"on concrete / it stayed in its place / confirm the parking place / {ON_RAMPS}",
        "stands on stands",
    ),
}


@pytest.mark.parametrize("how", RAISED)
def test_nobody_is_asked_about_another_way_to_raise_the_car_than_the_one_that_was_chosen(talk: Talk, how: str) -> None:
    """Of how the car stands nothing is presumed: whether the engine runs comes first, and nobody puts it in neutral."""
    before, again, evidence, never = RAISED[how]
    talk.say(before)
    assert talk.state.step == "tray-off"
    talk.desk.state = evolve(talk.state, LOST, talk.clock.now())
    said = [meant(talk.desk, Intent("go-on")).reply.say]
    said += [talk.say(words).reply.say for words in f"{again} / {evidence}".split(" / ")]
    assert (talk.waiting, talk.state.step) == ("next", "tray-off")
    assert "I do not know whether the engine is running. If so: Switch the engine off." in said[0]
    assert "neutral" not in " ".join(said)
    assert never not in " ".join(said)
    assert not {"on-ramps", "on-stands"} <= talk.state.possible


def test_what_may_be_so_is_told_as_a_question_until_somebody_said_it(talk: Talk) -> None:
    """On stands, on ramps or on the ground: of each it is said what to do if it is so."""
    talk.say(READY.split(" / with jack")[0])
    assert talk.state.step == "lift"
    talk.desk.state = evolve(talk.state, LOST, talk.clock.now())
    meant(talk.desk, Intent("go-on"))
    said = [talk.say("the engine is off").reply.say, talk.say("the car is down on the ground").reply.say]
    assert "I do not know whether the car stands on stands. If so: Jack the car up a little" in said[0]
    assert "I do not know whether the car stands on ramps. If so: Take the chocks away." in said[1]
    talk.say("the car is off the ramps")
    assert (talk.waiting, talk.state.possible & {"on-stands", "on-ramps"}) == ("choice:lift", frozenset())


def test_once_it_was_said_that_the_car_is_not_safe_it_is_set_up_anew_without_an_if(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    talk.desk.state = evolve(talk.state, LOST, talk.clock.now())
    meant(talk.desk, Intent("go-on"))
    talk.say("the engine is off / it is in first gear now")
    assert "If not: Raise the front again" in talk.say("say that again").reply.say
    talk.say("the car moved")
    assert talk.say("say that again").reply.say.startswith("Stop. ")
    assert "If not" not in talk.say("say that again").reply.say


def test_at_no_step_is_a_car_put_in_neutral_that_its_gear_may_hold(whole: list[list[e.Recorded]]) -> None:
    for kept in range(1, len(whole), 3):
        before = evolve(fold(row for turn in whole[:kept] for row in turn), LOST, whole[kept][0].at)
        events = decide(before, Intent("go-on"), whole[kept][0].at)
        after = reduce(lambda state, event: evolve(state, event, whole[kept][0].at), events, before)
        assert "neutral" not in answer(before, events, after).say, (kept, after.step)
