"""The promises of the engine, on the oil and filter change, by typed words through the real matcher and journal."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from assistant.core.data.vehicle import Spec
from assistant.core.errors import DataError
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.engine import decide, open_job, understood
from assistant.core.job.question import question
from assistant.core.job.state import evolve, opening
from assistant.core.job.wording import spoken
from assistant.core.quantities.units import amount
from assistant.core.reply.answers import answer
from assistant.core.types import Intent, Understanding, Verdict
from tests.talk import (
    CLOSE,
    DRAIN,
    END,
    EVIDENCE,
    LOWER,
    ON_RAMPS,
    PLACE,
    PLUG,
    RAMPS,
    READY,
    RUN,
    START,
    TOP_UP,
    WHOLE,
    Talk,
)

BEFORE = READY.split(" / on concrete")[0]
AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
TWO = Intent("value", "two", amount("2 pieces"))


def kinds(turn) -> list[str]:
    return [type(row.event).__name__ for row in turn.recorded]


def test_whole_job_ends_with_an_empty_ledger_and_all_torques(talk: Talk) -> None:
    talk.say(WHOLE)
    assert talk.state.finished_at is not None
    assert talk.state.ledger.parts == ()
    assert {part: str(value.magnitude) for part, value in talk.state.torques.items()} == {
        "drain-plug": "30",
        "filter-cap": "25",
    }
    assert talk.replayed() == talk.state


def test_no_way_under_the_car_without_every_evidence(talk: Talk) -> None:
    talk.say(READY)
    for word in ("next step", "skip this step", "what comes next"):
        turn = talk.say(word)
        assert kinds(turn) == ["Refused"]
        assert talk.waiting == "evidence:under-car/brake"
    *answers, confirmed = [part.strip() for part in EVIDENCE.split("/")]
    for part in answers:
        talk.say(part)
        assert talk.state.gates == ("place",)
    assert talk.waiting == "confirm:going under the car"
    talk.say(confirmed)
    assert talk.state.gates == ("place", "under-car")


@pytest.mark.parametrize(
    ("before", "answer"),
    [(BEFORE, "on soft ground"), (f"{BEFORE} / on concrete", "it rolled away"),
     (f"{BEFORE} / {PLACE.rsplit(' / ', 2)[0]}", "two hundred kilograms"), (READY, "zero clicks"),
     (f"{READY} / four clicks", "front wheels"), (f"{READY} / four clicks / both back wheels", "one"),
     (f"{READY} / four clicks / both back wheels / two", "it moved")],
)  # fmt: skip
def test_evidence_of_danger_is_refused(talk: Talk, before: str, answer: str) -> None:
    talk.say(before)
    waiting = talk.waiting
    turn = talk.say(answer)
    assert kinds(turn)[0] == "Refused"
    assert not any(isinstance(row.event, e.EvidenceGiven) for row in turn.recorded)
    raised = answer in ("one", "it moved")  # a car that moved, or stands on one stand, has to be set up anew
    anew = {"it rolled away": "evidence:place/ground"}.get(answer, waiting)  # and one on a slope has to go elsewhere
    assert talk.waiting == ("condition:on-stands" if raised else anew)


def test_gate_falls_when_the_car_is_lowered(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE)))
    assert talk.state.gates == ("place", "under-car")
    turn = talk.say("next step")
    assert talk.state.step == "lower-stands"
    assert "GateFell" in kinds(turn)  # when it is told to be lowered, not when it is down
    assert "under-car" not in talk.state.gates
    assert "on-stands" not in talk.state.conditions
    assert "on-stands" in talk.state.unsure
    talk.say("the car is down")
    assert "on-stands" not in talk.state.possible


def test_back_over_raising_lets_the_gate_fall(talk: Talk) -> None:
    talk.say(READY + " / " + EVIDENCE)
    turn = talk.say("go back one step")
    assert kinds(turn)[:2] == ["GateFell", "ConditionChanged"]
    assert "StepReopened" in kinds(turn)
    assert talk.state.step == "raise-stands"
    assert talk.state.gates == ("place",)
    talk.say("next step")
    assert talk.waiting == "evidence:under-car/brake"


def test_back_counts_a_closed_part_as_open_again_and_takes_its_torque(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG, "thirty newton metres / confirm drain plug")))
    assert "drain-plug" not in talk.state.ledger.parts
    turn = talk.say("go back one step")
    assert "PartOpened" in kinds(turn)
    assert "drain-plug" in talk.state.ledger.parts
    assert "drain-plug" not in talk.state.torques


def test_engine_is_not_started_with_a_leak_path_open(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, LOWER)))
    assert talk.waiting == "evidence:start-engine/exhaust"
    opened = evolve(talk.state, e.PartOpened("filler-cap"), talk.clock.now())
    assert str(question(opened)) == "blocked:start-engine"
    assert "filler cap" in answer(opened, decide(opened, Intent("next"), talk.clock.now()), opened).say


def test_engine_is_not_started_below_the_low_mark(talk: Talk) -> None:
    # capacity 4.3 L less the span 1.0 L leaves 3.3 L (the invented car's data)
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0])))
    turn = talk.say("three point two litres")
    assert talk.waiting == "reading:poured"
    assert "too little oil. Pour in: zero point three litres more" in turn.reply.say
    assert kinds(talk.say("next step")) == ["Refused"]
    assert "StepDone" in kinds(talk.say("point three litres"))
    assert known.poured(talk.state, "oil").magnitude == Decimal("3.5")


def test_exhaust_in_the_room_is_refused(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, LOWER)))
    turn = talk.say("it goes into the room")
    assert kinds(turn) == ["Refused"]
    assert "kills" in turn.reply.say


def test_wrong_torque_is_refused_and_the_right_one_confirmed_by_name(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG)))
    assert kinds(talk.say("forty newton metres")) == ["Refused"]
    assert kinds(talk.say("twenty litres")) == ["Refused"]
    assert kinds(talk.say("thirty")) == ["Refused"]
    assert kinds(talk.say("thirty newton metres")) == ["ClaimHeard"]
    assert kinds(talk.say("next step")) == ["Refused"]
    assert "drain-plug" in talk.state.ledger.parts
    assert "TorqueGiven" in kinds(talk.say("confirm drain plug"))


def test_forty_litres_are_refused_with_the_allowed_range_and_nothing_is_lost(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0])))
    before = talk.state.readings
    turn = talk.say("forty litres")
    assert kinds(turn) == ["Refused"]
    assert "forty, litres" in turn.reply.say
    assert "eight point six litres" in turn.reply.say  # twice the capacity of the invented car
    assert talk.state.readings == before
    assert talk.waiting == "reading:poured"


def test_a_mistaken_reading_is_put_right_by_a_new_fact(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / the filler cap is tight")[0])))
    assert str(talk.state.last("poured").value.magnitude) == "3.5"
    turn = talk.say("that was wrong")
    assert kinds(turn) == ["ReadingWithdrawn", "StepReopened", "StepBegun"]
    assert "Taken back: three point five litres" in turn.reply.say
    assert talk.state.last("poured") is None
    talk.say("three point four litres")
    assert str(talk.state.last("poured").value.magnitude) == "3.4"
    assert sum(isinstance(fact, e.ReadingTaken) and fact.name == "poured" for fact in talk.facts()) == 2


def test_top_up_never_passes_the_full_mark(talk: Talk) -> None:
    # near low is up to a quarter of the 1.0 L span, so at most 0.75 L fit; the jug shows tenths: 0.7 L
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN)))
    turn = talk.say("near low")
    assert "zero point seven litres" in turn.reply.say
    assert talk.state.step == "top-up"


def test_too_much_oil_leads_to_drawing_off(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN)))
    talk.say("above the full mark")
    assert talk.state.step == "draw-off"
    assert kinds(talk.say("next step")) == ["Refused"]
    talk.say("half a litre")
    assert talk.state.step == "settle"
    assert known.poured(talk.state, "oil").magnitude == Decimal("3.0")


def test_hard_wait_is_kept_and_a_soft_one_may_be_ended(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, "next step / next step / next step / next step")))
    assert "TimerEnded" in kinds(talk.say("it only drips now"))
    talk.say(" / ".join((CLOSE, LOWER, START, "the oil lamp went out")))
    assert talk.state.step == "run"
    assert kinds(talk.say("next step")) == ["Refused"]
    ended = talk.wait(60)
    assert "The time for running is over" in ended.reply.say


def test_missing_torque_is_asked_read_back_and_kept_with_its_source(talk: Talk) -> None:
    vehicle = talk.library.vehicle("tarnwick-plover-16")
    values = {name: spec for name, spec in vehicle.values.items() if name != "drain-plug-torque"}
    talk.begin(vehicle.model_copy(update={"values": values}))
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG)))
    assert talk.waiting == "value:drain-plug-torque"
    assert kinds(talk.say("thirty litres")) == ["Refused"]
    assert kinds(talk.say("nine hundred newton metres")) == ["Refused"]
    turn = talk.say("thirty newton metres")
    assert kinds(turn) == ["ClaimHeard"]
    talk.say("confirm the drain plug torque")
    assert talk.waiting == "tighten:drain-plug"
    assert talk.state.spec("drain-plug-torque").source == "told by the owner, 2026-03-14"
    # and it is known in the next job on the same car
    talk.begin(vehicle.model_copy(update={"values": values}))
    assert talk.state.spec("drain-plug-torque").value.magnitude == 30


def test_silence_from_under_the_car_is_noticed(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE)))
    levels = [(turn := talk.wait(seconds)) and turn.reply.tone for seconds in (600, 120, 60, 20, 20)]
    assert levels == ["warn", "warn", "alarm", "alarm", "alarm"]
    talk.say("I am here")
    assert talk.state.check_in == 0


def test_parking_and_carrying_on_asks_for_the_evidence_again(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE)))
    talk.say("park the job")
    assert kinds(talk.say("next step")) in (["LeftAlone"], ["NotUnderstood"], ["Refused"])
    turn = talk.say("carry on with the job")
    assert kinds(turn)[:3] == ["Resumed", "GateFell", "GateFell"]
    assert "have to be made again" in turn.reply.say
    assert talk.waiting == "evidence:place/ground"


def test_numbers_that_sound_alike_are_asked_for_digit_by_digit(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG)))
    unclear = e.NotUnderstood("", "fifteen newton metres", "fifty newton metres")
    said = answer(talk.state, [unclear], talk.state).say
    assert said.startswith("Not clear. Say: one five newton metres. Or: five zero newton metres.")
    talk.say("three zero newton metres")  # what is asked for is understood, as with any other number
    assert talk.waiting == "confirm:the drain plug"


def test_what_is_open_always_has_an_answer(talk: Talk) -> None:
    talk.say("what is still open")
    assert talk.said == "Nothing is open."
    talk.say(" / ".join((READY, EVIDENCE, "next step / next step / next step / next step")))
    talk.say("what is still open")
    assert talk.said == "Open: undertray, filler cap, filter housing, drain plug. The oil is drained."


def test_the_other_vehicle_speaks_its_owners_units(talk: Talk) -> None:
    talk.begin(talk.library.vehicle("bannockfield-heron-25"))
    talk.say(f"{RAMPS.replace('sixty thousand kilometres', 'fifty two thousand miles')} / {ON_RAMPS}")
    # no undertray and no filter cap: the filler is next, then the plug
    assert talk.state.step == "filler-open"
    talk.say("what is the torque")
    assert talk.said == "Drain plug: twenty-eight, foot pounds."
    talk.say("how much oil")
    assert "five point five quarts" in talk.said


def test_summary_names_what_a_finished_job_came_to(talk: Talk) -> None:
    turn = talk.say(WHOLE)
    assert END.endswith("next step")
    assert TOP_UP.startswith("near low")
    assert "four point two litres" in turn.reply.say
    assert "ninety-nine thousand two hundred kilometres" in turn.reply.say


def without(talk: Talk, name: str):
    vehicle = talk.library.vehicle("tarnwick-plover-16")
    return vehicle.model_copy(update={"values": {key: spec for key, spec in vehicle.values.items() if key != name}})


def test_a_time_that_no_calendar_counts_is_refused_when_told(talk: Talk) -> None:
    talk.begin(without(talk, "interval-time"))
    talk.say(WHOLE.removesuffix(" / next step"))
    assert talk.waiting == "value:interval-time"
    assert kinds(talk.say("one and a half months")) == ["Refused"]
    assert kinds(talk.say("twelve months")) == ["ClaimHeard"]


@pytest.mark.parametrize(("name", "value"), [("interval-time", "1.5 months"), ("drain-plug-torque", "900 N·m")])
def test_a_vehicle_file_with_an_impossible_value_begins_no_job(talk: Talk, name: str, value: str) -> None:
    vehicle = without(talk, name)
    wrong = {**vehicle.values, name: Spec(value=amount(value), source="invented")}
    jobs = talk.journal.jobs()
    with pytest.raises(DataError, match=f"values.{name}"):
        talk.begin(vehicle.model_copy(update={"values": wrong}))
    assert talk.journal.jobs() == jobs


def test_a_job_that_recorded_such_a_time_can_still_speak(talk: Talk) -> None:
    vehicle = without(talk, "interval-time")
    told = {**vehicle.values, "interval-time": Spec(value=amount("1.5 months"), source="invented")}
    started, *_ = open_job(talk.library.job("oil-and-filter"), vehicle.model_copy(update={"values": told}), AT)
    assert spoken(opening(started, AT), "{next-date}") == "the next date"


def test_in_noise_nothing_consequential_is_believed_at_once(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {PLUG}")
    state = talk.state
    torque = Understanding(Verdict.ACCEPTED, Intent("value", "thirty newton metres", amount("30 N·m")), noisy=True)
    [refused] = understood(state, torque, talk.clock.now())
    assert isinstance(refused, e.Refused)
    assert (refused.code, "Come closer" in refused.say) == ("noise", True)
    assert isinstance(understood(state, replace(torque, noisy=False), talk.clock.now())[0], e.ClaimHeard)
    asked = Understanding(Verdict.ACCEPTED, Intent("open", "what is open"), noisy=True)
    assert understood(state, asked, talk.clock.now()) == (e.Asked("open"),)
    [unclear] = understood(state, Understanding(Verdict.UNCLEAR, noisy=True), talk.clock.now())
    assert isinstance(unclear, e.Refused)


@pytest.mark.parametrize(
    ("before", "intent"),
    [(BEFORE, Intent("option", option="concrete")), (" / ".join((READY, *EVIDENCE.split(" / ")[:2])), TWO),
     (" / ".join((READY, *EVIDENCE.split(" / ")[:-1])), Intent("confirm")),
     (" / ".join((READY, EVIDENCE, DRAIN, PLUG, "thirty newton metres")), Intent("confirm")),
     (" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / the filler cap is tight")[0])), Intent("claim")),
     (READY.rsplit(" / ", 1)[0], Intent("done")), (READY.rsplit(" / ", 1)[0], Intent("next"))],
)  # fmt: skip
def test_in_noise_no_evidence_no_confirmation_and_no_claim_is_believed(talk: Talk, before: str, intent: Intent) -> None:
    talk.say(before)
    heard = Understanding(Verdict.ACCEPTED, intent, noisy=True)
    [refused] = understood(talk.state, heard, talk.clock.now())
    assert isinstance(refused, e.Refused)
    assert refused.code == "noise"
    clear = understood(talk.state, replace(heard, noisy=False), talk.clock.now())
    assert not any(isinstance(event, e.Refused) for event in clear)


def test_a_call_for_help_is_believed_in_any_noise(talk: Talk) -> None:
    heard = Understanding(Verdict.ACCEPTED, Intent("alarm"), noisy=True)
    assert understood(talk.state, heard, talk.clock.now()) == (e.HelpCalled(),)


def test_a_told_value_is_held_between_its_least_and_its_most(talk: Talk) -> None:
    talk.begin(without(talk, "drain-plug-torque"))  # the job allows 5 to 100 N·m
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG)))
    edges = {"four point nine": False, "five": True, "one hundred": True, "one hundred and one": False}
    for number, taken in edges.items():
        words = f"{number} newton metres"
        assert ("ClaimHeard" in kinds(talk.say(words))) is taken, words


def test_what_just_reaches_the_low_mark_is_enough_to_run(talk: Talk) -> None:
    # capacity 4.3 L less the span 1.0 L: exactly 3.3 L (the invented car's data)
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / three point five")[0])))
    assert talk.say("three point two nine litres").state.step == "pour-first"
    talk.say("that was wrong")
    talk.say(
        "three point three litres / the filler cap is tight / confirm filler cap / it is completely dry / next step"
    )
    talk.say(f"{LOWER} / {START}")
    assert "start-engine" in talk.state.gates


def test_a_gate_whose_evidence_stands_is_still_held_back_by_a_part_that_opens(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, LOWER, START)))
    assert "start-engine" in talk.state.gates
    opened = evolve(talk.state, e.PartOpened("filter-cap"), talk.clock.now())  # also without the gate falling with it
    assert "start-engine" in opened.gates
    assert str(question(opened)) == "blocked:start-engine"


def test_an_engine_that_was_stopped_no_longer_runs_and_starts_only_with_new_evidence(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE, RUN.split(" / @60")[0])))
    assert "engine-running" in talk.state.conditions
    talk.say("@60 / next step")
    turn = talk.say("the engine is off")
    assert "engine-running" not in talk.state.possible
    assert "GateFell" in kinds(turn)
    assert "start-engine" not in talk.state.gates


def test_a_step_that_has_to_be_done_is_not_left_out(talk: Talk) -> None:
    for _ in range(4):
        step = talk.state.step
        assert kinds(talk.say("skip this step")) == ["Refused"]
        assert talk.state.step == step
        talk.say("next step" if step != "odometer" else "sixty thousand kilometres")
