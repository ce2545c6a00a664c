"""The words by which the assistant is called, as recognisers write them; and talk that does not call it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant.core.errors import DataError
from assistant.core.hearing.verdict.attention import ATTENTIVE, call_phrase
from tests.talk import EVIDENCE, READY, Talk

WORDS = "hello workshop"


@pytest.fixture
def called(talk: Talk) -> Talk:
    """A talk with an assistant that wants to be called, and that has been silent for long enough to insist on it."""
    talk.desk.call = call_phrase(WORDS)
    talk.clock.move(60)
    return talk


def test_uncalled_nothing_is_taken_and_called_it_is(called: Talk) -> None:
    called.say("eighty thousand kilometres")
    assert (called.said, called.state.readings) == ("", ())
    called.say("hello workshop eighty thousand kilometres")
    assert called.said.startswith("I heard eighty thousand, kilometres")


@pytest.mark.parametrize("said", ["next step", "hello", "hello there, next step", "next step hello workshop"])
def test_other_talk_is_no_call(called: Talk, said: str) -> None:
    step = called.state.step
    called.say(said)
    assert (called.said, called.state.step) == ("", step)


def test_after_a_call_alone_it_listens_for_some_seconds(called: Talk) -> None:
    called.say("hello workshop")
    assert called.said == "I am listening."
    called.clock.move(ATTENTIVE.total_seconds() - 4)
    assert called.say("what is open").reply.say == "Nothing is open."
    called.clock.move(ATTENTIVE.total_seconds() + 1)
    assert called.say("what is open").reply.say == ""


def test_someone_who_is_asked_whether_they_are_all_right_need_not_call(called: Talk) -> None:
    called.say(f"hello workshop / {READY} / {EVIDENCE}")
    assert called.state.here.where == "under"
    assert called.wait(600)
    called.clock.move(timedelta(minutes=1).total_seconds())
    called.say("I am here")
    assert called.said.startswith("Good.")


@pytest.mark.parametrize("words", ["", "workshop", "hello <quantity>", "hello (work | shop)", "hello 2"])
def test_words_that_can_not_be_a_call_are_refused(words: str) -> None:
    with pytest.raises(DataError, match="two words or more") as caught:
        call_phrase(words)
    assert len(caught.value.say.split()) <= 15
