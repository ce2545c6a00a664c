"""No order of talk leads a person under a car, or out of the seat of one, that is not safe: typed, through the engine.

Each dialogue is one that a tired or distracted person has: going back over steps, answering for another car, stopping
half-way. The rules are those of HSE INDG434 and "Working under vehicles": never beneath a vehicle that only jacks hold.
"""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from assistant.core.job.question import OF_STEP, question
from tests.talk import CLOSE, DRAIN, EVIDENCE, LOWER, ON_RAMPS, RAMPS, READY, RUN, START, Talk

RAMP_JOB = f"{RAMPS} / {ON_RAMPS} / {DRAIN} / {CLOSE}"
BACK = "go back one step"


def kinds(turn) -> list[str]:
    return [type(row.event).__name__ for row in turn.recorded]


def told_to_do_it(talk: Talk) -> bool:
    """Whether the person was led to the step itself, with nothing asked before it."""
    return question(talk.state).waiting in OF_STEP


def under_the_car(talk: Talk) -> bool:
    return talk.state.here.where == "under" and told_to_do_it(talk)


def go_back(talk: Talk, times: int) -> list[str]:
    said = []
    for _ in range(times):
        said.append(talk.say(BACK).reply.say)
        assert not (under_the_car(talk) and talk.state.possible & {"engine-running"})
        if under_the_car(talk):
            assert "under-car" in talk.state.gates
            assert talk.state.conditions & {"on-stands", "on-ramps"}
    return said


def test_nobody_is_led_back_under_a_car_with_its_engine_running_on_ramps(talk: Talk) -> None:
    talk.say(f"{RAMP_JOB} / next step / the chocks are out / {START}")
    assert talk.state.step == "start-engine"
    assert "engine-running" in talk.state.conditions
    said = go_back(talk, 4)
    assert any("The engine is running, as far as I know. Switch the engine off" in text for text in said)


def test_nobody_is_led_back_under_a_car_that_is_being_lowered(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {LOWER}")
    said = go_back(talk, 4)
    assert talk.state.step == "plug-look"
    assert talk.waiting == "condition:on-stands"
    assert "Raise the front again" in said[-1]
    talk.say("the car stands on both stands")
    assert talk.waiting == "evidence:place/ground"  # all of it anew: the car was moved


def test_going_back_however_often_is_safe(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN}")
    go_back(talk, 60)
    assert talk.state.step == "odometer"
    assert talk.replayed() == talk.state


def test_an_engine_is_not_started_in_gear(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {LOWER} / outdoors / it is all clear there / four clicks")
    assert "in-gear" in talk.state.conditions  # it was told to engage one
    turn = talk.say("it is in first gear")
    assert kinds(turn) == ["Refused"]
    assert "jumps" in turn.reply.say
    talk.say("it is in neutral / confirm starting the engine")
    assert "in-gear" not in talk.state.possible


def test_nobody_leaves_the_seat_of_a_running_car_without_the_brake(talk: Talk) -> None:
    talk.say(
        f"{RAMP_JOB} / next step / the chocks are out / {START} / the oil lamp went out / the car is off the ramps"
    )
    assert talk.state.step == "run"
    assert talk.waiting == "condition:in-gear"
    talk.say("it is in neutral")
    assert talk.waiting == "condition:brake-on"
    assert not talk.state.timers  # the minute does not run yet
    assert kinds(talk.say("next step")) == ["Refused"]
    talk.say("the parking brake is on")
    assert talk.waiting == "choice:drips"
    assert talk.state.timers


def test_the_chocks_are_not_taken_away_with_the_engine_running(talk: Talk) -> None:
    talk.say(f"{RAMP_JOB} / next step")
    assert talk.state.step == "chocks-away"
    assert "engine-running" not in talk.state.possible
    talk.say(f"the chocks are out / {START}")
    talk.say(BACK)
    assert talk.state.step == "chocks-away"
    assert talk.waiting == "condition:engine-running"


def test_a_car_on_stands_is_not_driven_up_ramps(talk: Talk) -> None:
    talk.say(READY)
    while talk.state.step != "lift":
        talk.say(BACK)
    assert talk.waiting == "condition:on-stands"
    assert "take the stands out" in talk.said
    talk.say("on the ramps")
    assert talk.waiting == "condition:on-stands"
    talk.say("the car is down on the ground / on the ramps")
    assert talk.state.step == "ramps-place"


def test_resumed_beside_the_car_it_asks_for_no_checks_of_going_under(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE}")
    assert talk.state.step == "clear-away"
    turn = talk.say("park the job / carry on with the job")
    assert talk.waiting == "next"
    assert "checks" not in turn.reply.say


def test_a_lamp_that_stays_on_stops_the_engine_until_a_cause_is_mended(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {LOWER} / {START}")
    turn = talk.say("the oil lamp stays on")
    assert "Switch the engine off at once" in turn.reply.say
    talk.say("the engine is off")
    assert "engine-running" not in talk.state.possible
    assert talk.state.step == "lamp-look"
    assert "do not start it again" in talk.say("I found nothing").reply.say
    assert talk.state.step == "lamp-look"
    talk.say("the cause is mended / next step")
    assert talk.waiting == "evidence:start-engine/exhaust"


def test_a_drip_while_the_engine_runs_is_heard_at_once_and_leads_to_the_leak(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {RUN.split(' / @60')[0]}")
    assert kinds(talk.say("nothing at all")) == ["Refused"]  # the minute is not over
    turn = talk.say("it drips")
    assert "Switch the engine off" in turn.reply.say
    talk.say("the engine is off")
    assert talk.state.step == "leaks-tray"
    talk.say("dripping from the tray / next step / on stands")
    assert talk.waiting == "evidence:place/ground"


def test_who_says_that_the_car_moved_is_told_to_come_out_and_nothing_holds_any_more(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    turn = talk.say("the car has moved")
    assert turn.reply.say.startswith("Come out from under the car now.")
    assert turn.reply.tone == "alarm"
    assert talk.state.gates == ("place",)
    assert not talk.state.conditions & {"on-stands", "brake-on", "chocked"}
    assert not told_to_do_it(talk)


def test_a_failed_push_test_is_not_healed_by_words(talk: Talk) -> None:
    talk.say(f"{READY} / four clicks / both back wheels / two / it moved / it stood firm / confirm going under the car")
    assert "under-car" not in talk.state.gates
    assert talk.waiting == "condition:on-stands"


def test_the_ground_is_looked_at_before_the_car_is_raised(talk: Talk) -> None:
    talk.say(READY.split(" / on concrete")[0])
    assert talk.waiting == "evidence:place/ground"
    assert not talk.state.possible & {"on-stands", "on-ramps"}


@pytest.mark.parametrize(
    ("place", "answers"),
    [(READY, ("zero clicks", "one hundred thousand clicks", "two and a half clicks", "sixteen")),
     (f"{READY} / four clicks / both back wheels", ("two hundred stands", "two and a half", "five")),
     (READY.split(" / one tonne")[0], ("nine hundred thousand tonnes", "twenty one tonnes", "five hundred kilograms",
                                       "zero tonnes"))],
)  # fmt: skip
def test_evidence_outside_what_can_be_is_refused(talk: Talk, place: str, answers: tuple[str, ...]) -> None:
    talk.say(place)
    waiting = talk.waiting
    for answer in answers:
        turn = talk.say(answer)
        assert not any(isinstance(row.event, e.EvidenceGiven) for row in turn.recorded), answer
        assert turn.reply.say
        assert talk.waiting == waiting


def test_hard_ground_is_no_level_ground(talk: Talk) -> None:
    talk.say(f"{READY.split(' / on concrete')[0]} / a concrete floor")
    assert talk.waiting == "evidence:place/level"
    assert kinds(talk.say("the bottle rolls away")) == ["Refused", "GateFell"]
    assert talk.waiting == "evidence:place/ground"


def test_evidence_is_read_back_and_only_its_own_name_confirms_it(talk: Talk) -> None:
    *answers, confirm = EVIDENCE.split(" / ")
    talk.say(" / ".join((READY, *answers)))
    assert "both back wheels chocked, two stands, it stayed still when pushed" in talk.said
    for other in ("yes", "next step", "confirm starting the engine", "confirm the stands", "confirm drain plug"):
        talk.say(other)
        assert talk.waiting == "confirm:going under the car", other
    talk.say("that was wrong")
    assert "it stayed still when pushed" in talk.said
    assert talk.waiting == "evidence:under-car/push"
    talk.say(f"rock solid / {confirm}")
    assert talk.state.gates == ("place", "under-car")


def test_tons_are_the_owners_own(talk: Talk) -> None:
    # a short ton is 2,000 lb (NIST Handbook 44, appendix C); the invented pickup's owner thinks in US units
    talk.begin(talk.library.vehicle("bannockfield-heron-25"))
    talk.say("fifty two thousand miles / next step / next step / next step / on stands / on concrete")
    talk.say("it stayed in its place")
    assert talk.waiting == "evidence:place/rating"
    talk.say("two tons")
    assert talk.waiting == "confirm:the parking place"


def test_an_engine_that_is_started_again_counts_as_running_again(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE} / {LOWER} / {START}")
    talk.say("the engine is off")
    assert "engine-running" not in talk.state.possible
    talk.say(START)
    assert "engine-running" in talk.state.conditions
    go_back(talk, 6)


def test_new_oil_is_not_left_in_by_going_back_to_the_open_plug(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN} / {CLOSE}")
    while talk.state.step != "plug-out":
        talk.say(BACK)
        assert talk.state.step not in ("drain", "washer", "plug-in", "plug-torque")
    assert "drain-plug" in talk.state.ledger.parts
    talk.say("the plug is out")
    assert talk.state.readings == tuple(fact for fact in talk.state.readings if not fact.adds)


def test_on_the_ramps_it_never_tells_to_drive_up_again(talk: Talk) -> None:
    talk.say(RAMPS)
    for _ in range(6):
        turn = talk.say(BACK)
        assert "Drive slowly up" not in turn.reply.say
    assert "no way back" in turn.reply.say


def test_whoever_parks_with_the_engine_running_is_told_to_stop_it_and_starts_with_new_evidence(talk: Talk) -> None:
    talk.say(RAMPS.split(" / the car is on the ramps")[0])
    turn = talk.say("park the job")
    assert "Switch the engine off. Leave the parking brake on." in turn.reply.say
    talk.say("carry on with the job")
    assert talk.waiting == "condition:on-ramps"  # it may stand on them already, or half
    assert not told_to_do_it(talk)


def test_whoever_parks_under_the_car_is_told_to_come_out(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    assert "Come out from under the car. Then say: I am out." in talk.say("park the job").reply.say


def test_under_the_car_a_gear_is_in(talk: Talk) -> None:
    talk.say(f"{RAMP_JOB} / next step / the chocks are out / {START}")
    talk.say("the engine is off")
    for _ in range(4):
        talk.say(BACK)
    assert talk.state.here.where != "under" or talk.waiting == "condition:in-gear"


def test_a_denial_of_the_bad_answer_is_no_evidence_and_no_alarm(talk: Talk) -> None:
    *answers, _, _ = EVIDENCE.split(" / ")
    talk.say(" / ".join((READY, *answers)))
    turn = talk.say("it did not move")
    assert talk.waiting == "evidence:under-car/push"
    assert "stayed completely still" in turn.reply.say
    assert "Keep out" not in turn.reply.say
