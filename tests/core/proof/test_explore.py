"""Every reachable state of every procedure, on every vehicle that comes with the program, keeps the promises.

Each promise is also broken on purpose, in a procedure or in the engine, and has to be reported. These walks begin where
the fault is near, and end where it is found.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from assistant.adapters.library import Library
from assistant.core.data.car import Where
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import engine, filling, given, known, moving, readings, wording
from assistant.core.job import events as e
from assistant.core.job import question as asking
from assistant.core.proof.explore import Report, explore
from assistant.core.quantities.units import Level, Value, amount
from assistant.core.types import Intent
from tests.fitting import FITTING, vehicles_for

SHELF = Library()
JOB, CAR = SHELF.job("oil-and-filter"), SHELF.vehicle("tarnwick-plover-16")


BACK = 1
"""So often in a row somebody goes back in the walks here; `tests/benchmarks/prove.py` goes further."""


FEWER = 1_500
"""So many states are walked of the jobs that the faults below are not put into; `assistant check --prove` walks all."""


@pytest.mark.parametrize("vehicle", vehicles_for(JOB), ids=lambda vehicle: vehicle.id)
def test_promises_hold_in_all_states(vehicle: Vehicle) -> None:
    report = explore(JOB, vehicle, loops=0, back=BACK)
    assert report.broken == []
    assert report.finished > 0


@pytest.mark.parametrize(("procedure", "vehicle"), [pair for pair in FITTING if pair[0].id != JOB.id])
def test_promises_hold_in_the_nearest_states_of_other_jobs(procedure: Procedure, vehicle: Vehicle) -> None:
    report = explore(procedure, vehicle, loops=0, back=BACK, most=FEWER)
    assert [line for line in report.broken if "given up" not in line] == []
    assert report.states >= FEWER


def test_promises_hold_in_all_states_from_a_leak_on() -> None:
    report = explore(JOB, CAR, loops=0, back=BACK, after=LATE)
    assert report.broken == []
    assert report.finished > 0


def value(written: str | Level) -> Intent:
    return Intent("value", value=written if isinstance(written, Level) else amount(written))


def option(*names: str) -> list[Intent]:
    return [Intent("option", option=name) for name in names]


NEXT, CONFIRM = Intent("next"), Intent("confirm")
PREPARED = [value("50000 km"), NEXT, NEXT, NEXT]
PLACED = [*option("stands", "concrete", "stays"), value("1 t"), CONFIRM]
RAISED = [*PREPARED, *PLACED, NEXT, NEXT, NEXT, NEXT, NEXT, NEXT]
PROVEN = [*option("lamp", "back"), value("2 pieces"), *option("firm")]
UNDER = [*RAISED, *PROVEN, CONFIRM]
PLUG_OUT = [*UNDER, NEXT, NEXT, NEXT]
TIGHT = [*PLUG_OUT, NEXT, NEXT, NEXT, NEXT, value("30 N·m"), CONFIRM, NEXT, value("25 N·m"), CONFIRM]
"""A wait ends early here: at draining it may."""
FILLED = [*TIGHT, value("3.5 L"), Intent("claim"), CONFIRM, *option("none"), NEXT, NEXT]
STARTING = [*option("outdoors", "clear", "lamp", "neutral")]


LATE = [*FILLED, *STARTING, CONFIRM, *option("out"), *option("oil")]
"""A job that drips while the engine runs: the rest is walked from here, and what lies behind it by going back."""


def changed(step: str, **fields: object) -> Procedure:
    steps = tuple(one.model_copy(update=fields) if one.id == step else one for one in JOB.steps)
    return JOB.model_copy(update={"steps": steps})


def found(procedure: Procedure, after: Sequence[Intent], promise: str, *, loops: int = 0, most: int = 4_000) -> None:
    report = explore(procedure, CAR, after=after, stop=True, loops=loops, most=most)
    assert any(promise in line for line in report.broken), report.broken


@pytest.mark.parametrize(
    ("step", "fields", "after", "promise"),
    [
        ("plug-in", {"needs": ()}, PLUG_OUT, "under the car without"),
        ("start-engine", {"needs": ()}, FILLED, "told to start the engine without"),
        ("filter-cap-torque", {"tighten": None}, TIGHT[:-2], "finished with filter-cap"),
        ("drain", {"where": Where.UNDER}, PLUG_OUT, "under the car without"),
    ],
)
def test_a_broken_procedure_is_found(
    step: str, fields: dict[str, object], after: Sequence[Intent], promise: str
) -> None:
    found(changed(step, **fields), after, promise)


@pytest.mark.parametrize(
    ("field", "value", "after", "promise"),
    [
        ("exposure", (), FILLED + STARTING, "with the engine running"),
        ("exposure", tuple(rule for rule in JOB.exposure if not rule.parts), [*FILLED, *STARTING, CONFIRM],
         "told to work at a part with the engine running"),
    ],
)  # fmt: skip
def test_a_job_without_its_exposure_is_found(field: str, value: object, after: Sequence[Intent], promise: str) -> None:
    found(JOB.model_copy(update={field: value}), after, promise)


def test_stands_that_count_while_the_car_is_lowered_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moving, "_supports", lambda draft: set())
    found(changed("lower-stands", ends=()), FILLED[:-1], "under the car while it does not surely stand raised")


def test_a_gate_that_does_not_ask_for_the_lever_is_found() -> None:
    gates = tuple(
        gate.model_copy(update={"asks": tuple(ask for ask in gate.asks if ask.id != "lever")}) for gate in JOB.gates
    )
    found(JOB.model_copy(update={"gates": gates}), FILLED, "told to start the engine")


def test_a_gate_that_outlasts_lowering_is_found() -> None:
    gates = tuple(gate.model_copy(update={"falls_on": ("interrupted",)}) for gate in JOB.gates)
    found(JOB.model_copy(update={"gates": gates}), FILLED[:-1], "under the car")


def _patched(module: object, name: str, broken: Callable[..., object]) -> Callable[[pytest.MonkeyPatch], None]:
    return lambda patch: patch.setattr(module, name, broken)


def _without(draft: moving.Draft, *_: object, **__: object) -> None:
    """Do nothing, as a broken part of the engine may."""


def _believed(draft: moving.Draft, intent: Intent, asked: object) -> None:
    """Take a denial for the claim, as a broken engine may."""
    moving.complete(draft)


def _whatever(state: object, ask: object, given: Value) -> Value:
    return given


BREAKAGES = {
    "a denial counts as the claim": (
        lambda patch: patch.setitem(engine._HANDLERS, "denied", _believed), PREPARED, "not so was taken"),
    "evidence is not bounded": (
        _patched(given, "check_evidence", _whatever), RAISED, "was taken, at tray-off"),
    "gates never fall": (
        _patched(moving, "let_gates_fall", _without), [*UNDER, Intent("back")], "under the car"),
    "what has to hold is not asked for": (
        _patched(asking, "unmet", lambda state, step: None), [*FILLED, *STARTING, CONFIRM, Intent("back")],
        "under the car"),
    "a torque is not held against the vehicle's": (
        _patched(given, "check_torque", lambda state, given: (state.procedure.part(state.here.tighten.part), given)),
        TIGHT[:-5], "twice as much was taken"),
    "another name confirms": (
        lambda patch: patch.setitem(engine._HANDLERS, "confirm", _confirms_anything), [*RAISED, *PROVEN],
        "another name was taken"),
    "what needs no number takes one": (
        _patched(readings, "within", lambda state, given, least, most: given), TIGHT, "nine times the capacity"),
}  # fmt: skip


def _confirms_anything(draft: moving.Draft, intent: Intent, asked: object) -> None:
    draft.add(e.GatePassed("under-car"))


@pytest.mark.parametrize("name", [*BREAKAGES])
def test_a_broken_engine_is_found(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    breaks, after, promise = BREAKAGES[name]
    after = list(after)
    report: Report
    states = explore(JOB, CAR, after=after, stop=True, loops=0, most=10)  # sound before it is broken
    assert not [line for line in states.broken if "given up" not in line and "lead nowhere" not in line]
    breaks(monkeypatch)
    report = explore(JOB, CAR, after=after, stop=True, loops=0, most=3_000)
    assert any(promise in line for line in report.broken), report.broken


def test_a_told_value_below_its_least_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    values = {name: spec for name, spec in CAR.values.items() if name != "drain-plug-torque"}
    monkeypatch.setattr(given, "check_told", lambda state, name, given: given)
    car = CAR.model_copy(update={"values": values})
    report = explore(JOB, car, after=[*PLUG_OUT, NEXT, NEXT, NEXT, NEXT], stop=True, loops=0, most=50)
    assert any("below its least was taken" in line for line in report.broken)


def test_an_engine_that_runs_with_too_much_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    nothing = amount("0 L")
    by_capacity = filling._by_capacity
    monkeypatch.setattr(filling, "bounds_broken", lambda state, name: (False, False))
    monkeypatch.setattr(
        filling, "_by_capacity", lambda state, name: replace(by_capacity(state, name), lacking=nothing, surplus=nothing)
    )
    report = explore(JOB, CAR, after=TIGHT, stop=True, loops=0, most=2_000)
    assert any("with too much in it" in line or "with too little in it" in line for line in report.broken)


BARE = CAR.model_copy(update={"values": {}, "notes": {}})
"""A car whose file leaves out all that it may."""


def test_promises_hold_where_the_file_of_the_vehicle_leaves_out_all_that_it_may() -> None:
    report = explore(JOB, BARE, loops=0, most=2_000)
    assert [line for line in report.broken if "given up" not in line] == []


def test_a_note_that_lacks_and_is_spoken_as_it_is_written_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wording, "_word", lambda state, name: "{" + name + "}")
    report = explore(JOB, BARE, after=PREPARED[:1], stop=True, most=500)
    assert any("spoken as it is written" in line for line in report.broken), report.broken


def test_a_note_that_lacks_and_is_asked_for_ends_the_walk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known, "is_note", lambda state, name: name in state.vehicle.notes)
    monkeypatch.setattr(known, "missing", lambda state, step: next(iter(
        name for name in known.names_of(state, step) if known.missing_of(state, name)), None))  # fmt: skip
    with pytest.raises(KeyError):  # as it was: nobody knows how such a name is asked for
        explore(JOB, BARE.model_copy(update={"values": CAR.values}), after=PREPARED[:1], stop=True, most=50)


def test_a_pause_that_lets_words_through_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "WHILE_PAUSED", (*engine.WHILE_PAUSED, "torque"))
    report = explore(JOB, CAR, stop=True, most=50)
    assert any("a pause of the listening goes wrong ['torque']" in line for line in report.broken)
