"""What a person asks with a spanner in the hand: another unit, an adapter on the wrench."""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from assistant.core.job.state import fold
from tests.talk import DRAIN, EVIDENCE, PLUG, READY, Talk

AT_THE_PLUG = " / ".join((READY, EVIDENCE, DRAIN, PLUG))


@pytest.fixture
def plug(talk: Talk) -> Talk:
    talk.say(AT_THE_PLUG)
    assert talk.waiting.startswith("tighten")
    return talk


def test_a_torque_is_told_in_another_unit_and_nothing_changes(plug: Talk) -> None:
    before = plug.state
    turn = plug.say("what is that in foot pounds")
    assert plug.said.startswith("It is: twenty-two, foot pounds.")  # 30 N·m are 22.13 lbf·ft by NIST SP 811
    assert [type(fact.event) for fact in turn.recorded] == [e.Asked]
    assert plug.state.step == before.step and plug.state.torques == before.torques


def test_there_is_no_volume_where_a_bolt_is_tightened(plug: Talk) -> None:
    plug.say("what is that in quarts")
    assert plug.said.startswith("There is no volume here.")


def test_with_an_adapter_it_asks_for_the_wrench_and_then_tells_what_to_set(plug: Talk) -> None:
    plug.say("my adapter is fifty millimetres")
    assert "my wrench is" in plug.said
    plug.say("my wrench is four hundred millimetres")
    # 30·400/450 = 26.7, by the formula that the manual of a torque wrench prints
    assert "set the wrench to: twenty-seven, newton metres" in plug.said
    plug.say("what is the torque")
    assert plug.said.startswith("Drain plug: thirty, newton metres, three zero.") and "twenty-seven" in plug.said


def test_the_torque_at_the_bolt_is_still_the_one_that_counts(plug: Talk) -> None:
    plug.say("my adapter is fifty millimetres / my wrench is four hundred millimetres")
    assert [type(fact.event).__name__ for fact in plug.say("twenty five newton metres").recorded] == ["Refused"]
    assert [type(fact.event).__name__ for fact in plug.say("thirty newton metres").recorded] == ["ClaimHeard"]


@pytest.mark.parametrize("words", ["my wrench is nine hundred inches", "my adapter is two hundred centimetres"])
def test_a_length_that_no_tool_has_is_refused(plug: Talk, words: str) -> None:
    turn = plug.say(words)
    assert [type(fact.event).__name__ for fact in turn.recorded] == ["Refused"]
    assert "Measure it again." in plug.said
    assert not plug.state.tools


def test_what_was_told_of_the_tools_is_in_the_journal(plug: Talk) -> None:
    plug.say("my adapter is fifty millimetres / my wrench is four hundred millimetres")
    assert fold(plug.journal.read(plug.desk.job)).tools == plug.state.tools
