"""Jobs that stop, repeat, ask again, allow, and fasten are walked through, and each promise is broken on purpose.

The jobs are invented and small, so that all their states are walked.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from assistant.core.data.car import Where
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import alone, answering, confirming, engine, given, moving, stopping
from assistant.core.job import events as e
from assistant.core.job import question as asking
from assistant.core.proof.book import Book
from assistant.core.proof.explore import Report, explore
from assistant.core.proof.promises import broken_by
from assistant.core.reply.acknowledging import steps as said_of
from tests.core.job import test_allowing, test_arch_and_drive, test_asking_again, test_fastening, test_repeating
from tests.core.job import test_stopping as stops
from tests.in_short import CAR, Way

PADS = stops.PADS
STOPS, AGAIN, REPEATS = stops.JOB, test_asking_again.JOB, test_repeating.JOB
PLACES = test_arch_and_drive.JOB
ALLOWS = Procedure.model_validate({
    **test_allowing.JOB.model_dump(),
    "steps": [step.model_dump() for step in test_allowing.JOB.steps if step.id != "run-on"],
})  # fmt: skip
FASTENS, NUTS_CAR = test_fastening.JOB, test_fastening.car()


def walked(procedure: Procedure, vehicle: Vehicle = CAR, *, loops: int = 1, stop: bool = False) -> Report:
    return explore(procedure, vehicle, loops=loops, most=20_000, stop=stop)


@pytest.mark.parametrize(
    ("procedure", "vehicle", "loops"),
    [
        (STOPS, CAR, 0),
        (AGAIN, CAR, 0),
        (REPEATS, CAR, 3),
        (PLACES, CAR, 0),
        (PADS, CAR, 0),
        (ALLOWS, CAR, 0),
        (FASTENS, NUTS_CAR, 0),
    ],
    ids=["stops", "asks again", "repeats", "places", "bands", "allows", "fastens"],
)
def test_promises_hold_in_all_states(procedure: Procedure, vehicle: Vehicle, loops: int) -> None:
    report = walked(procedure, vehicle, loops=loops)
    assert report.broken == []
    assert report.finished > 0


def test_a_job_that_stops_is_walked_to_its_stop() -> None:
    asked = explore(STOPS, CAR, loops=0, most=20_000)
    without = explore(STOPS.model_copy(update={"steps": _without_stop(STOPS)}), CAR, loops=0, most=20_000)
    assert asked.states > without.states


def _without_stop(procedure: Procedure) -> tuple[object, ...]:
    disc = procedure.step("disc")
    assert disc.choice
    options = tuple(one.model_copy(update={"stop": None}) for one in disc.choice.options)
    changed = disc.model_copy(update={"choice": disc.choice.model_copy(update={"options": options})})
    return tuple(changed if step.id == "disc" else step for step in procedure.steps)


def _led_on(draft: moving.Draft, end: str, reason: str, **_: object) -> None:
    """Take what stops the job for any other answer, as a broken engine may."""
    draft.add(e.ChoiceMade("disc", "crack"))
    moving.complete(draft)


def _silently(draft: moving.Draft, asked: object, option: object, why: str) -> None:
    draft.add(e.Refused("again", why))


def _first_round(state: object, step: object) -> int:
    return 1


def _without_turn(draft: moving.Draft, part: str, value: object) -> None:
    draft.add(e.TorqueGiven(part, value))  # type: ignore[arg-type]
    moving.complete(draft)


def _confirmed_by_any(draft: moving.Draft, intent: object, asked: object) -> bool:
    called = draft.state.stopping
    if called and intent.name == "confirm":  # type: ignore[attr-defined]
        draft.add(e.JobStopped(called.end, called.reason))
        return True
    return _WAITS(draft, intent, asked)  # type: ignore[arg-type]


_WAITS = stopping.waits_for_end


def changed(procedure: Procedure, step: str, **fields: object) -> Procedure:
    steps = tuple(one.model_copy(update=fields) if one.id == step else one for one in procedure.steps)
    return procedure.model_copy(update={"steps": steps})


TAP_STAYS_OPEN = changed(ALLOWS, "tap-shut", closes=())
Break = Callable[[pytest.MonkeyPatch], None]


def _patched(module: object, name: str, broken: object) -> Break:
    return lambda patch: patch.setattr(module, name, broken)


ENGINES: dict[str, tuple[Break, Procedure, Vehicle, int, str]] = {
    "an answer that stops leads on": (
        _patched(answering, "stop", _led_on), STOPS, CAR, 0, "went on at disc with crack, which stops the job"),
    "a reading that stops leads on": (
        _patched(given, "news_of_bands", lambda *_, **__: iter(())), PADS, CAR, 0,
        "went on at pads though the reading pads stops the job"),
    "somebody is left in the arch": (
        _patched(asking, "may_be_under", lambda state: False), STOPS, CAR, 0, "stopped at disc with somebody under"),
    "the car is left as it is": (
        _patched(asking, "unmet_at_end", lambda state, end: None), STOPS, CAR, 0, "does not surely hold"),
    "another name ends the job": (
        _patched(engine, "waits_for_end", _confirmed_by_any), STOPS, CAR, 0, "another name was taken"),
    "rounds have no end": (
        _patched(moving, "rounds", _first_round), REPEATS, CAR, 3, "went more than 3 rounds to feel"),
    "steps are not repeated": (
        _patched(moving, "_repeated", lambda state, step: None), REPEATS, CAR, 3, "went on from feel to close"),
    "no time runs": (
        _patched(answering, "_refused", _silently), AGAIN, CAR, 0, "no time runs after which it is asked again"),
    "its end does not ask": (
        _patched(said_of, "_asked_again", lambda before, after: "Time is over."), AGAIN, CAR, 0, "not asked again"),
    "all parts are allowed": (
        _patched(asking, "blocked", lambda state, step: ""), TAP_STAYS_OPEN, CAR, 0,
        "told to do run with tap open"),
    "the further turn is left out": (
        _patched(confirming, "tightened", _without_turn), FASTENS, NUTS_CAR, 0, "finished with bolt"),
    "nothing has to be new": (
        _patched(asking, "not_shown_new", lambda state, step: None), FASTENS, NUTS_CAR, 0,
        "closed bolt without a word that the bolt is new"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*ENGINES])
def test_a_broken_engine_is_found(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    breaks, procedure, vehicle, loops, promise = ENGINES[name]
    breaks(monkeypatch)
    report = walked(procedure, vehicle, loops=loops)
    assert any(promise in line for line in report.broken), report.broken


PROCEDURES: dict[str, tuple[Procedure, Vehicle, str]] = {
    "an arm in the arch without its gate": (
        changed(PLACES, "reach", needs=("place",)), CAR, "with an arm in a wheel arch without"),
    "an arm in the arch of a car that is down": (
        changed(PLACES, "raise", sets=()).model_copy(update={"exposure": ()}), CAR,
        "with an arm in a wheel arch while it does not surely stand raised"),
    "a question on the road": (
        changed(PLACES, "feel", where=Where.DRIVE), CAR, "asked something while the car moves, at feel"),
    "a part that a step does not allow": (
        changed(ALLOWS, "run", allows=()), CAR, "lead nowhere"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*PROCEDURES])
def test_a_broken_procedure_is_found(name: str) -> None:
    procedure, vehicle, promise = PROCEDURES[name]
    report = walked(procedure, vehicle, loops=0)
    assert any(promise in line for line in report.broken), report.broken


def test_a_question_whether_all_is_well_on_the_road_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    way = Way(PLACES)
    way.do(*test_arch_and_drive.REACHING, "next", "next")
    late = way.at + timedelta(days=1)
    sound = alone.moment(way.state, late, timedelta(minutes=10))
    asked = [fact for fact in sound if isinstance(fact, e.CheckedIn)]
    assert asked
    assert not [fault for fact in asked for fault in broken_by(way.state, Book(), fact)]
    monkeypatch.setattr(alone, "driving", lambda state: False)
    monkeypatch.setattr(alone, "may_be_under", lambda state: True)
    [fact] = (one for one in alone.moment(way.state, late, timedelta(minutes=10)) if isinstance(one, e.CheckedIn))
    assert [*broken_by(way.state, Book(), fact)] == ["asked whether all is well while the car moves, at warm"]
