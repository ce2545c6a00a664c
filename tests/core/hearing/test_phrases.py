"""What may be said at once: every state of a whole job is among the situations that the phrases are checked in, and
where the job is parked or listening is paused only what is safe."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.hearing.phrases import allowed, situations
from tests.talk import EVIDENCE, READY, WHOLE, Talk


def intents(talk: Talk) -> set[str]:
    return {phrase.intent for phrase in allowed(talk.state, talk.desk.phrases)}


def test_while_paused_only_the_words_that_end_it_may_be_said(talk: Talk) -> None:
    assert {"next", "value", "pause"} <= intents(talk)
    assert "listen" not in intents(talk)
    talk.say("stop listening")
    assert intents(talk) == {"listen", "alarm", "danger"}
    talk.say("listen again")
    assert {"next", "value", "pause"} <= intents(talk)


@pytest.mark.parametrize("words", ["stop listening please", "do not listen now", "pause the listening"])
@pytest.mark.parametrize("back", ["listen again please", "listen to me again", "you can listen again"])
def test_each_way_to_pause_and_to_go_on_is_heard(talk: Talk, words: str, back: str) -> None:
    talk.say(words)
    assert talk.state.paused
    talk.say(back)
    assert not talk.state.paused


@pytest.fixture(scope="module")
def known(library: Library) -> dict[str, tuple]:
    return situations(library.job("oil-and-filter"), library.phrases())


def test_every_state_of_a_whole_job_is_known(talk: Talk, library: Library, known: dict[str, tuple]) -> None:
    sets = {frozenset(phrases) for phrases in known.values()}
    seen = set()
    for words in ("park the job", "continue with the job", *WHOLE.split("/")):
        talk.say(words)
        now = frozenset(allowed(talk.state, library.phrases()))
        assert any(now <= each for each in sets), talk.waiting
        seen.add(now)
    assert talk.waiting == "finished"
    assert len(seen) > 20


def test_that_one_is_here_is_only_heard_when_one_was_asked(talk: Talk, library: Library) -> None:
    talk.say(" / ".join((READY, EVIDENCE)))
    before = {phrase.intent for phrase in allowed(talk.state, library.phrases())}
    talk.wait(600)
    assert {phrase.intent for phrase in allowed(talk.state, library.phrases())} == before | {"here"}


def test_each_is_named_after_a_step_and_a_question(library: Library, known: dict[str, tuple]) -> None:
    steps = {step.id for step in library.job("oil-and-filter").steps}
    assert all(name.split(", ")[0] in steps for name in known)
    assert len({frozenset(phrases) for phrases in known.values()}) == len(known)


def test_while_parked_nothing_moves_the_job(library: Library, known: dict[str, tuple]) -> None:
    [parked] = [phrases for name, phrases in known.items() if name.endswith(", parked")]
    asks = {"repeat", "open", "where", "help", "hush"}
    assert {phrase.intent for phrase in parked} <= {"go-on", "alarm", "danger", "out", "here", *asks}
