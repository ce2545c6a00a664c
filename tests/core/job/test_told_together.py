"""Values that can each be right but not all together are refused with what to do, however they came into the job."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant import wiring
from assistant.adapters.clock import MovableClock
from assistant.adapters.library import Library, data_folder
from assistant.commands.told import put_right
from assistant.core.data.vehicle import Spec, System, Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job import events as e
from assistant.core.job import vehicle_values
from assistant.core.job.engine import decide
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State
from assistant.core.job.vehicle_values import check_all, check_told
from assistant.core.quantities.units import Amount, amount, convert
from assistant.core.reply.answers import answer
from assistant.core.types import Intent
from tests.straight import AT, after, sound, straight_on

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
CAR = SHELF.vehicle("tarnwick-plover-16")
BARE = CAR.model_copy(update={"values": {}})
USUAL = {name: spec.value for name, spec in CAR.values.items()}
OTHER_UNITS = {"litre": "US_quart", "newton_metre": "foot_pound", "kilogram": "pound", "kilometre": "mile"}


def edges(name: str) -> list[Amount]:
    """The least and the most that is allowed, and a hair within, in the unit of the file and in another."""
    wanted, found = JOB.values[name], []
    for bound, factor in ((wanted.least, "1.001"), (wanted.most, "0.999")):
        within = replace(bound, magnitude=round(bound.magnitude * amount(f"{factor} L").magnitude, 6))
        found += [bound, within] if bound.unit != "month" else [bound]
        if bound.unit in OTHER_UNITS:
            found.append(convert(within, OTHER_UNITS[bound.unit]))
    return found


def at_the_fill(car: Vehicle, **told: str) -> State:
    specs = {name.replace("_", "-"): Spec(value=amount(text), source="told by the owner")
             for name, text in told.items()}  # fmt: skip
    steps = (state for state, _ in straight_on(JOB, car, USUAL, specs))
    return next(state for state in steps if state.step == "pour-first")


def said(state: State, intent: Intent) -> tuple[State, str]:
    facts = decide(state, intent, AT)
    then = after(state, facts, AT)
    return then, answer(state, facts, then).say


@settings(max_examples=40)
@given(st.sampled_from([*System]), st.fixed_dictionaries({name: st.sampled_from(edges(name)) for name in JOB.values}))
def test_values_at_their_edges_are_refused_together_or_lead_to_the_end(units: System, told: dict[str, Amount]) -> None:
    car = BARE.model_copy(update={"units": units})
    specs = {name: Spec(value=value, source="told by the owner") for name, value in told.items()}
    try:
        check_all(JOB, car, specs)
    except ReadingError as error:
        assert "larger than" in error.say
        specs.pop("dipstick-span")  # it is asked for, and told so that it fits
    for state, words in straight_on(JOB, car, {**USUAL, "dipstick-span": amount("0.2 L")}, specs):
        sound(state, words)


def test_capacity_and_span_that_can_not_both_be_right_are_refused_with_a_way_on() -> None:
    asked = next(state for state, _ in straight_on(JOB, BARE, USUAL | {"oil-capacity": amount("3 L")})
                 if question(state).about == "dipstick-span")  # fmt: skip
    state, words = said(asked, Intent("value", value=amount("3 L")))
    assert "The capacity must be larger than the amount between the marks." in words
    assert "Or say: the oil capacity with filter is wrong." in words
    state, words = said(state, Intent("wrong", option="oil-capacity"))
    assert question(state).about == "oil-capacity"
    state, words = said(state, Intent("value", value=amount("4 L")))
    state, words = said(state, Intent("confirm"))
    assert str(question(state)) == "value:dipstick-span"


def test_a_told_value_against_the_file_names_the_file() -> None:
    state = at_the_fill(CAR)
    with pytest.raises(ReadingError) as refused:
        check_told(replace(state, vehicle=without(CAR, "oil-capacity")), "oil-capacity", amount("1 L"))
    assert "put it right in the vehicle's file" in refused.value.say


def without(car: Vehicle, *names: str) -> Vehicle:
    return car.model_copy(update={"values": {name: one for name, one in car.values.items() if name not in names}})


def test_a_job_of_an_older_journal_asks_for_one_of_them_anew() -> None:
    good = at_the_fill(BARE, oil_capacity="4 L", dipstick_span="1 L")
    state = replace(good, told={**good.told, "dipstick-span": Spec(value=amount("4 L"), source="told by the owner")})
    assert question(state).waiting is Waiting.VALUE
    sound(state, "x")
    state, _ = said(state, Intent("value", value=amount("1 L")))
    state, words = said(state, Intent("confirm"))
    assert str(question(state)) == "reading:poured"
    assert "Pour in: three point two litres" in words


@pytest.mark.parametrize(("capacity", "span"), [*product(["0.5 L", "3 L", "15 L"], ["0.2 L", "3 L"])])
@pytest.mark.parametrize("units", [*System])
def test_what_is_let_through_can_be_worked_out(capacity: str, span: str, units: System) -> None:
    car = BARE.model_copy(update={"units": units})
    told = {"oil-capacity": Spec(value=amount(capacity), source="me, so"),
            "dipstick-span": Spec(value=amount(span), source="me, so")}  # fmt: skip
    fits = amount(capacity).magnitude > amount(span).magnitude
    if not fits:
        with pytest.raises(ReadingError):
            check_all(JOB, car, told)
        return
    check_all(JOB, car, told)
    assert any(state.finished_at for state, _ in straight_on(JOB, car, USUAL, told))


def test_a_check_that_is_left_out_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(vehicle_values, "check_together", lambda state, name: None)
    asked = next(state for state, _ in straight_on(JOB, BARE, USUAL | {"oil-capacity": amount("3 L")})
                 if question(state).about == "dipstick-span")  # fmt: skip
    state, _ = said(asked, Intent("value", value=amount("3 L")))
    state, _ = said(state, Intent("confirm"))
    assert question(state).about == "dipstick-span"  # taken, and then it has to be told anew: the job is not lost
    assert isinstance(state.told["dipstick-span"], Spec)


def own_car(data: Path, *lacks: str) -> None:
    """Put a car into the owner's folder whose file lacks some values."""
    lines = (
        (data_folder("procedures") / "vehicles" / "tarnwick-plover-16.yaml").read_text(encoding="utf-8").splitlines()
    )
    kept = [line for line in lines if not line.strip().startswith(lacks)]
    file = data / "procedures" / "vehicles" / "mine.yaml"
    file.parent.mkdir(parents=True)
    file.write_text("\n".join(kept).replace("id: tarnwick-plover-16", "id: mine"), encoding="utf-8")


def begin(data: Path) -> None:
    store, clock = wiring.journal(data), MovableClock(AT)
    try:
        wiring.new_job(store, JOB, wiring.library(data).vehicle("mine"), clock)
    finally:
        store.close()


def test_a_value_that_is_told_between_jobs_is_held_against_the_others(tmp_path: Path) -> None:
    own_car(tmp_path, "oil-capacity", "dipstick-span")
    begin(tmp_path)
    put_right(tmp_path, "mine", "oil-capacity", "4 L", str)
    put_right(tmp_path, "mine", "dipstick-span", "3 L", str)
    with pytest.raises(DataError, match="the capacity is the larger"):
        put_right(tmp_path, "mine", "oil-capacity", "2 L", str)
    begin(tmp_path)


def test_no_job_begins_with_told_values_that_can_not_all_be_right(tmp_path: Path) -> None:
    own_car(tmp_path, "oil-capacity", "dipstick-span")
    begin(tmp_path)
    store = wiring.journal(tmp_path)
    for name, text in (("oil-capacity", "2 L"), ("dipstick-span", "2 L")):  # as a version let it through
        told = Spec(value=amount(text), source="told by the owner")
        store.append(store.jobs()[0], (e.ValueTold("mine", name, told),), AT)
    store.close()
    with pytest.raises(DataError, match="assistant told --vehicle mine"):
        begin(tmp_path)


def test_no_job_begins_with_a_file_whose_values_can_not_all_be_right(tmp_path: Path) -> None:
    own_car(tmp_path)
    file = tmp_path / "procedures" / "vehicles" / "mine.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("value: 4.3 L", "value: 1.0 L"), encoding="utf-8")
    with pytest.raises(DataError, match="vehicle mine: a capacity of"):
        begin(tmp_path)
    file.write_text(file.read_text(encoding="utf-8").replace("filter:cartridge", "filter:none"), encoding="utf-8")
    with pytest.raises(DataError, match="exactly one of filter:cartridge, filter:spin-on"):
        begin(tmp_path)
