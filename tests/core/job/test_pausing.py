"""Listening that is paused: nothing but its end is acted on, while times and the care for someone alone go on."""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from assistant.core.job.state import fold
from assistant.core.types import Intent
from assistant.path.turn import meant
from assistant.shelf import offered
from tests.talk import DRAIN, EVIDENCE, READY, Talk

DRAINING = DRAIN.split(" / @")[0]
"""Up to the oil that runs out, which takes its time."""


def kinds(talk: Talk, since: int) -> list[str]:
    return [type(fact).__name__ for fact in talk.facts()[since:]]


@pytest.mark.parametrize("words", ["next step", "thirty newton metres", "what is open", "skip to the next step",
                                   "start listening", "park the job", "be quiet please", "repeat that"])  # fmt: skip
def test_what_is_said_while_paused_changes_nothing_and_gets_no_answer(talk: Talk, words: str) -> None:
    talk.say("stop listening")
    assert talk.said == "I stop listening. When you need me, say: listen again."
    before, since = talk.state, len(talk.facts())
    talk.say(words)
    assert talk.said == ""
    assert kinds(talk, since) == ["LeftAlone"]
    assert talk.state.step == before.step
    assert talk.state.paused


def test_listening_again_says_what_is_waited_for(talk: Talk) -> None:
    opening = talk.state
    talk.say("stop listening / next step / listen again")
    assert talk.said.startswith("I am listening again.")
    assert "?" in talk.said or "Say:" in talk.said
    assert talk.state.step == opening.step
    assert talk.replayed() == talk.state


def under_the_car(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    assert talk.state.here.where == "under"
    talk.say("stop listening")


def test_someone_who_paused_the_listening_under_the_car_is_still_asked_and_may_answer(talk: Talk) -> None:
    under_the_car(talk)
    turn = talk.wait(600)
    assert turn
    assert turn.reply.say == "Are you all right? Say: I am here."
    talk.say("I am here")
    assert talk.said == "Good. I am not listening. Say: listen again."
    assert talk.state.check_in == 0
    assert talk.state.paused


def test_without_an_answer_the_alarm_comes_in_spite_of_other_talk(talk: Talk) -> None:
    under_the_car(talk)
    for _ in range(14):
        talk.wait(60)
        talk.say("did you see the match on saturday")
    levels = [fact.level for fact in talk.facts() if isinstance(fact, e.CheckedIn)]
    assert levels[:3] == [1, 2, 3]
    assert levels[-1] > 3  # and sounds on


def test_before_it_is_asked_the_answer_is_not_listened_to(talk: Talk) -> None:
    under_the_car(talk)
    talk.say("I am here")
    assert talk.said == ""


def test_a_time_that_ends_is_said_with_the_words_that_are_heard(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAINING}")
    assert talk.state.timers
    talk.say("stop listening")
    said = []
    for _ in range(12):
        if turn := talk.wait(60):
            said.append(turn.reply.say)
    assert any(text.endswith("is over. Say: listen again.") for text in said)


@pytest.mark.parametrize("beginning", ["park", "go-on"])
def test_a_program_that_is_started_anew_listens(talk: Talk, beginning: str) -> None:
    """The crash is a journal that is read again; `park` and `go-on` are how the command line begins."""
    talk.say("stop listening")
    found = next(iter(offered(talk.journal)), None)
    assert found
    assert found.state.paused
    talk.desk.state = found.state
    meant(talk.desk, Intent(beginning))
    if beginning == "park":
        talk.say("carry on with the job")
    assert not talk.state.paused
    assert fold(talk.journal.read(talk.desk.job)) == talk.state
    talk.say("what is open")
    assert talk.said == "Nothing is open."
