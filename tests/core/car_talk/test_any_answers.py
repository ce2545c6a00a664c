"""Whatever an owner answers, in any order: the talk stays legal, loses nothing, goes back, and comes to its end."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.adapters.vehicle_file import vehicle_in
from assistant.core.car_talk.file_text import file_text
from assistant.core.car_talk.given import Ground, Talk, Topic, asked, car, id_of
from assistant.core.car_talk.keeping import restored, rows_of
from assistant.core.car_talk.taking import SAME, TOLD, take
from assistant.core.car_talk.wanted import readiness
from assistant.core.car_talk.words import question
from assistant.core.data.procedure import Procedure
from assistant.core.job.vehicle_values import check_all, check_vehicle
from assistant.core.quantities.units import amount
from assistant.core.types import Intent

SHELF = Library()
OIL = SHELF.job("oil-and-filter")


def other_job() -> Procedure:
    """Return an invented second job that wants one value of the first, in narrower bounds, and one of its own."""
    wanted = OIL.values["oil-capacity"].model_copy(update={"most": amount("6 L")})
    own = OIL.values["drain-plug-torque"].model_copy(update={"name": "axle nut torque"})
    steps = (OIL.steps[0].model_copy(update={"say": "Begin.", "when": (), "unless": (), "needs": ()}),)
    return OIL.model_copy(
        update={
            "id": "axle", "title": "Axle nut", "steps": steps,
            "values": {"oil-capacity": wanted, "axle-nut-torque": own},
            "built": (), "one_of": (("axle:rigid", "axle:free"),),
            "fluids": {}, "computed": {}, "parts": (), "notes": {},
        }
    )  # fmt: skip


@cache
def ground(*jobs: str, taken: tuple[str, ...] = ("hatchback", "hatchback-2", "pickup")) -> Ground:
    known = {"oil-and-filter": OIL, "axle": other_job()}
    return Ground.of([known[job] for job in jobs or known], frozenset(taken), SHELF.tables(), "2026-03-14")


AMOUNTS = st.builds(
    lambda number, unit: amount(f"{number} {unit}"),
    st.decimals(Decimal("0.1"), Decimal(20000), places=1).map(lambda number: number.normalize()).map("{:f}".format),
    st.sampled_from(["L", "US qt", "N·m", "lbf·ft", "kg", "lb", "km", "mi", "months"]),
)
USUAL = st.sampled_from(["4.3 L", "1 L", "0.4 L", "30 N·m", "25 N·m", "1340 kg", "15000 km", "12 months"]).map(amount)
OPTIONS = st.sampled_from(
    ["metric", "us", "imperial", "filter:cartridge", "filter:spin-on", "tray:fitted", "none", "axle:rigid", "replace",
     "both", "oil-and-filter", "axle", "all", "nonsense"]
)  # fmt: skip
INTENTS = st.one_of(
    USUAL.map(lambda value: Intent("value", value=value)),
    AMOUNTS.map(lambda value: Intent("value", value=value)),
    OPTIONS.map(lambda option: Intent("option", option=option)),
    st.sampled_from(["The hatchback", "Möwe 7", "Лада", "con", "x", "\x00\x01", "a" * 80]).map(
        lambda name: Intent("name", name)
    ),
    st.sampled_from([SAME, TOLD, "service manual"]).map(lambda where: Intent("source", "there", option=where)),
    st.text(max_size=12).map(lambda text: Intent("source", text)),
    st.sampled_from(["M14x1.5", "M6", "M99x9", "no thread"]).map(lambda name: Intent("thread", option=name)),
    st.sampled_from(["unknown", "back", "undo", "denied", "confirm", "enough", "go-on", "anew", "what"]).map(Intent),
    st.sampled_from([*OIL.values, "name", "units", "built", "nonsense"]).map(lambda name: Intent("wrong", option=name)),
)


VALUES = {name: spec.value for name, spec in SHELF.vehicle("tarnwick-plover-16").values.items()}


def fitting(talk: Talk) -> Intent:
    """Return an answer that fits what is asked."""
    now = asked(talk)
    if now.topic is Topic.BUILT:
        return Intent("option", option=talk.groups[now.about].options[0].tag or "none")
    if now.topic is Topic.VALUE:
        return Intent("value", value=VALUES[now.about]) if now.about in VALUES else Intent("unknown")
    return {
        Topic.RESUME: Intent("go-on"), Topic.JOBS: Intent("option", option="all"),
        Topic.NAME: Intent("name", "The hatchback"), Topic.TAKEN: Intent("option", option="both"),
        Topic.UNITS: Intent("option", option="metric"), Topic.SOURCE: Intent("source", option="service manual"),
        Topic.WHOLE: Intent("confirm"), Topic.DONE: Intent("confirm"),
    }[now.topic]  # fmt: skip


def straight(talk: Talk) -> Talk:
    """Answer everything that is asked, without a slip, from where a talk is."""
    for _ in range(60):
        if talk.done:
            return talk
        talk, _ = take(talk, fitting(talk))
    raise AssertionError(f"no way on at {asked(talk)}")


MOVES = st.one_of(st.none(), st.none(), INTENTS)


def holds(talk: Talk, said: str) -> None:
    """Hold against a talk what has to be so of each."""
    assert len({(one.topic, one.about) for one in talk.given}) == len(talk.given)
    assert question(talk, typed=True) and question(talk, typed=False)
    assert not any(sign.isdigit() for sign in question(talk, typed=False).replace(talk.called, "")) or talk.kept
    assert said == said.strip()
    for job in talk.jobs:
        check_all(job, car(talk), {})


@settings(max_examples=120, deadline=None)
@given(st.lists(MOVES, max_size=40))
def test_any_answers_in_any_order_end_in_a_legal_state_and_are_kept(moves: list[Intent | None]) -> None:
    talk = Talk(ground())
    for move in moves:
        intent = move or fitting(talk)
        before = talk
        talk, said = take(talk, intent)
        holds(talk, said)
        if intent.name not in ("back", "undo", "wrong"):
            gone = {(one.topic, one.about) for one in before.given} - {(one.topic, one.about) for one in talk.given}
            assert not gone, "only going back takes an answer away"
    assert restored(talk.ground, rows_of(talk.given)) == talk.given


@settings(max_examples=60, deadline=None)
@given(st.lists(MOVES, max_size=30))
def test_going_back_leads_to_the_question_before_with_all_else_as_it_was(moves: list[Intent | None]) -> None:
    talk = Talk(ground())
    for move in moves:
        intent = move or fitting(talk)
        before = talk
        talk, _ = take(talk, intent)
        if len(talk.given) == len(before.given) + 1:
            back, _ = take(talk, Intent("back"))
            assert (back.given, asked(back)) == (before.given, asked(before))
    for _ in range(len(talk.given)):
        talk, _ = take(talk, Intent("back"))
    assert talk.given == ()
    assert take(talk, Intent("back"))[1] == "There is nothing before this."


@settings(max_examples=60, deadline=None)
@given(st.lists(MOVES, max_size=25))
def test_from_wherever_it_is_straight_answers_lead_to_a_file_that_its_jobs_accept(moves: list[Intent | None]) -> None:
    talk = Talk(ground())
    for move in moves:
        intent = move or fitting(talk)
        talk, _ = take(talk, intent)
    values = [one.about for one in talk.given if one.topic is Topic.VALUE]
    for name in values:  # what was told by chance may leave no room for the usual values
        talk, _ = take(replace(talk, done=False), Intent("wrong", option=name))
    done = straight(replace(talk, done=False))
    vehicle = car(done)
    assert vehicle_in(file_text(vehicle)) == vehicle
    assert vehicle.id not in done.ground.taken or done.what(Topic.TAKEN, vehicle.id) == "replace"
    for job in done.jobs:
        check_vehicle(job, vehicle, done.ground.tables)
        assert not readiness(job, vehicle, {}, done.ground.tables).fault


@pytest.mark.parametrize("way", ["filter:cartridge", "filter:spin-on"])
def test_only_the_values_are_asked_for_that_the_job_needs_as_the_car_is_built(way: str) -> None:
    talk = Talk(ground("oil-and-filter"))
    for answer in (Intent("name", "Red"), Intent("option", option="metric"), Intent("option", option=way)):
        talk, _ = take(talk, answer)
    assert ("filter-cap-torque" in talk.values) == (way == "filter:cartridge")
    assert {*talk.values} >= {*OIL.values} - {"filter-cap-torque"}


def test_an_interrupted_talk_is_taken_up_where_it_was_or_begun_anew() -> None:
    talk = straight(Talk(ground("oil-and-filter")))
    part = talk.given[:7]
    again = Talk(talk.ground, kept=restored(talk.ground, rows_of(part)))
    assert asked(again).topic is Topic.RESUME
    assert "The hatchback" in question(again, typed=False)
    assert take(again, Intent("value", value=amount("1 L")))[0] == again
    assert take(again, Intent("go-on"))[0].given == part
    assert take(again, Intent("anew"))[0].given == ()


def test_rows_that_fit_nothing_are_left_out() -> None:
    rows = [["name", "", "Red"], ["value", "no-such", "1 L"], ["value", "oil-capacity", "400 L"], ["built", "x", "y"],
            ["nonsense", "", ""], 7, ["units", ""], ["units", "", "us"], ["source", "mass", "\x00"]]  # fmt: skip
    assert rows_of(restored(ground("oil-and-filter"), rows)) == [["name", "", "Red"], ["units", "", "us"]]
    assert restored(ground(), {"no": "list"}) == ()


@pytest.mark.parametrize(
    ("title", "name"),
    [("The hatchback", "hatchback"), ("Möwe 7", "mowe-7"), ("Лада", "car"), ("CON", "car-con"), ("2CV", "car-2cv"),
     ("A" * 60, "a" * 40), ("the", "the"), ("!?!", "car")],
)  # fmt: skip
def test_an_id_follows_from_any_name(title: str, name: str) -> None:
    assert id_of(title) == name
