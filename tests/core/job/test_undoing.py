"""Taking back: "that was wrong" takes back the last thing, says what it was, and leaves no permission without cause."""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from tests.talk import CLOSE, DRAIN, EVIDENCE, PLUG, READY, RUN, TOP_UP, Talk

WRONG = "that was wrong"


def kinds(turn) -> list[str]:
    return [type(row.event).__name__ for row in turn.recorded]


def without_torque(talk: Talk):
    vehicle = talk.library.vehicle("tarnwick-plover-16")
    values = {name: spec for name, spec in vehicle.values.items() if name != "drain-plug-torque"}
    return vehicle.model_copy(update={"values": values})


def test_after_a_choice_it_is_the_choice_that_is_taken_back(talk: Talk) -> None:
    talk.say("eighty four thousand two hundred kilometres / next step / next step / next step / on stands")
    turn = talk.say(WRONG)
    assert "Taken back: jack and stands." in turn.reply.say
    assert talk.state.step == "lift"
    assert talk.state.last("odometer") is not None
    talk.say("on the ramps")
    assert dict(talk.state.choices) == {"lift": "ramps"}


def test_after_dry_it_is_dry_that_is_taken_back_and_not_the_dipstick(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN} / {TOP_UP} / three quarters / it is completely dry")
    turn = talk.say(WRONG)
    assert "Taken back: completely dry." in turn.reply.say
    assert talk.state.step == "leaks-tray"
    assert talk.state.last("oil-level") is not None


def test_after_a_told_value_it_is_the_value_and_not_the_push_test(talk: Talk) -> None:
    talk.begin(without_torque(talk))
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG} / ninety newton metres / confirm drain plug torque")
    gates, evidence = talk.state.gates, talk.state.evidence
    turn = talk.say(WRONG)
    assert "Taken back: drain plug torque, ninety, newton metres" in turn.reply.say
    assert (talk.state.gates, talk.state.evidence) == (gates, evidence)
    assert talk.waiting == "value:drain-plug-torque"


def test_a_told_value_is_put_right_at_any_time_and_the_part_tightened_by_it_is_open_again(talk: Talk) -> None:
    talk.begin(without_torque(talk))
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG} / ninety newton metres / confirm drain plug torque")
    talk.say("ninety newton metres / confirm drain plug / next step")
    assert talk.state.torques
    turn = talk.say("the drain plug torque is wrong")
    assert "ValueWithdrawn" in kinds(turn)
    assert "The drain plug counts as open again." in turn.reply.say
    assert talk.state.step == "plug-torque"
    assert talk.waiting == "value:drain-plug-torque"
    talk.say("thirty newton metres / confirm drain plug torque / thirty newton metres / confirm drain plug")
    assert {part: int(value.magnitude) for part, value in talk.state.torques.items()} == {"drain-plug": 30}
    assert int(talk.state.spec("drain-plug-torque").value.magnitude) == 30


def test_a_value_of_the_file_is_put_right_in_the_file(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG}")
    turn = talk.say("the drain plug torque is wrong")
    assert kinds(turn) == ["Refused"]
    assert "vehicle's file" in turn.reply.say


def test_each_answer_is_taken_back_in_turn_with_its_words(talk: Talk) -> None:
    *answers, _ = EVIDENCE.split(" / ")
    talk.say(" / ".join((READY, *answers)))
    for words in ("it stayed still when pushed", "two stands", "both back wheels chocked", "the brake light is on"):
        assert f"Taken back: {words}." in talk.say(WRONG).reply.say
    assert talk.waiting == "evidence:under-car/brake"


def test_taking_back_a_permission_asks_for_all_its_evidence_again(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    turn = talk.say(WRONG)
    assert kinds(turn) == ["GateFell"]
    assert talk.waiting == "evidence:under-car/brake"


def test_going_back_over_a_closed_part_says_so(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG} / thirty newton metres / confirm drain plug")
    turn = talk.say("go back one step")
    assert "The drain plug counts as open again. Back to: drain plug torque." in turn.reply.say


def test_a_new_value_replaces_the_one_that_waits(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG} / thirty newton metres")
    turn = talk.say("thirty one newton metres")
    assert talk.state.pending and int(talk.state.pending.value.magnitude) == 31
    assert "thirty-one" in turn.reply.say
    turn = talk.say("ninety newton metres")  # can't be right: and the one before is no longer believed either
    assert kinds(turn) == ["ClaimDropped", "Refused"]
    assert talk.state.pending is None
    talk.say("confirm drain plug")
    assert "drain-plug" in talk.state.ledger.parts


def test_what_waits_is_dropped_with_its_words(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG} / thirty newton metres")
    assert "Taken back: drain plug, thirty, newton metres, three zero." in talk.say(WRONG).reply.say


def test_an_engine_that_was_said_to_be_off_may_run_again(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN.split(' / @60')[0]}")
    assert talk.state.step == "run"
    talk.say("the engine is off")
    assert "engine-running" not in talk.state.possible
    talk.say(WRONG)
    assert "engine-running" in talk.state.possible
    assert "start-engine" not in talk.state.gates


@pytest.mark.parametrize("times", [5, 40])
def test_taking_everything_back_one_by_one_is_legal_and_ends(talk: Talk, times: int) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN} / {TOP_UP}")
    for _ in range(times):
        turn = talk.say(WRONG)
        assert turn.reply.say
    assert talk.replayed() == talk.state
    assert not any(isinstance(fact, e.JobFinished) for fact in talk.facts())


def test_a_capacity_that_is_called_wrong_is_asked_for_before_anything_is_read_or_counted(talk: Talk) -> None:
    vehicle = talk.library.vehicle("tarnwick-plover-16")
    values = {name: spec for name, spec in vehicle.values.items() if name != "oil-capacity"}
    talk.begin(vehicle.model_copy(update={"values": values}))
    talk.say("eighty four thousand two hundred kilometres / four point three litres / confirm oil capacity with filter")
    talk.say(f"{READY.split(' / ', 1)[1]} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN}")
    talk.say("the oil capacity with filter is wrong / near low")
    assert talk.waiting == "value:oil-capacity"
    talk.say("four point three litres / confirm oil capacity with filter / near low")
    assert talk.state.step == "top-up"
