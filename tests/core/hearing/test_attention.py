"""The words by which the assistant is called, as recognisers write them; and talk that does not call it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from assistant import wiring
from assistant.core.errors import DataError
from assistant.core.hearing.attention import ATTENTIVE, Attention, call_phrase
from assistant.core.types import Hypothesis
from tests.talk import EVIDENCE, READY, Talk

WORDS = "hello workshop"


@pytest.fixture
def called(talk: Talk) -> Talk:
    """A talk with an assistant that wants to be called, and that has been silent for long enough to insist on it."""
    attention = wiring.attention(WORDS, talk.library)
    assert attention
    talk.desk.attention, talk.desk.phrases = attention, (*talk.desk.phrases, attention.call)
    talk.clock.move(60)
    return talk


def attention(talk: Talk) -> Attention:
    assert talk.desk.attention
    return talk.desk.attention


@pytest.mark.parametrize(
    ("written", "rest"),
    # the odd spellings were written by Whisper tiny.en for two synthesised voices
    [("Hello workshop. Next step.", "Next step."), ("Hello Workshop", "Hello Workshop"),
     ("Hello work, shop next step", "next step"), ("Hello word shop next step.", "next step."),
     ("hello, workshop, 30 newton metres", "30 newton metres")],
)  # fmt: skip
def test_the_call_is_found_however_it_is_written(called: Talk, written: str, rest: str) -> None:
    [found] = attention(called).after_call((Hypothesis(written, -0.2, "any"),))
    assert (found.text, found.score, found.engine) == (rest, -0.2, "any")


@pytest.mark.parametrize("written", ["", "next step", "hello", "the workshop is cold", "hello there, next step",
                                     "next step hello workshop", "yellow paint shop next step"])  # fmt: skip
def test_other_talk_is_no_call(called: Talk, written: str) -> None:
    assert attention(called).after_call((Hypothesis(written, -0.2, "any"),)) == ()


def test_uncalled_nothing_is_taken_and_called_it_is(called: Talk) -> None:
    called.say("eighty thousand kilometres")
    assert (called.said, called.state.readings) == ("", ())
    called.say("hello workshop eighty thousand kilometres")
    assert called.said.startswith("I heard eighty thousand kilometres")


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
