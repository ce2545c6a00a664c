"""A job that lost the end of its record: nothing of the car is sure any more, and nobody is led on by what was lost."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import groupby

import pytest

from assistant.core.job import events as e
from assistant.core.job.engine import decide
from assistant.core.job.state import State, evolve, opening
from assistant.core.proof.promises import Book, broken_by, broken_in, noted
from assistant.core.types import Intent
from assistant.path.turn import meant
from tests.chance import turns
from tests.talk import EVIDENCE, PLACE, READY, WHOLE, Talk

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
