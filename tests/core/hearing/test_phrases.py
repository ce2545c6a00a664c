"""What may be said in a state: the least that is safe where the job is parked or listening is paused."""

from __future__ import annotations

import pytest

from tests.talk import Talk


def intents(talk: Talk) -> set[str]:
    from assistant.core.hearing.phrases import allowed

    return {phrase.intent for phrase in allowed(talk.state, talk.desk.phrases)}


def test_while_paused_only_the_words_that_end_it_may_be_said(talk: Talk) -> None:
    assert {"next", "value", "pause"} <= intents(talk)
    assert "listen" not in intents(talk)
    talk.say("stop listening")
    assert intents(talk) == {"listen"}
    talk.say("listen again")
    assert {"next", "value", "pause"} <= intents(talk)


@pytest.mark.parametrize("words", ["stop listening please", "do not listen now", "pause the listening"])
@pytest.mark.parametrize("back", ["listen again please", "listen to me again", "you can listen again"])
def test_each_way_to_pause_and_to_go_on_is_heard(talk: Talk, words: str, back: str) -> None:
    talk.say(words)
    assert talk.state.paused
    talk.say(back)
    assert not talk.state.paused
