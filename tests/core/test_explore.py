"""Every reachable state of every procedure, on every vehicle that comes with the program, keeps the promises."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core import engine
from assistant.core.explore import explore
from assistant.core.procedure import Procedure, Vehicle

SHELF = Library()


@pytest.mark.parametrize("vehicle", SHELF.vehicles(), ids=lambda vehicle: vehicle.id)
@pytest.mark.parametrize("procedure", SHELF.jobs(), ids=lambda procedure: procedure.id)
def test_promises_hold_in_every_state(procedure: Procedure, vehicle: Vehicle) -> None:
    report = explore(procedure, vehicle)
    assert report.broken == []
    assert report.finished > 0
    assert report.states > 500


def changed(procedure: Procedure, step: str, **fields: object) -> Procedure:
    steps = tuple(one.model_copy(update=fields) if one.id == step else one for one in procedure.steps)
    return procedure.model_copy(update={"steps": steps})


@pytest.mark.parametrize(
    ("step", "fields", "promise"),
    [
        ("plug-in", {"needs": ()}, "under the car without"),
        ("start-engine", {"needs": ()}, "engine is started with"),
        ("plug-torque", {"closes": ()}, "lead nowhere"),
        ("filter-cap-torque", {"tighten": None}, "finished with"),
    ],
)
def test_a_broken_procedure_is_found(step: str, fields: dict[str, object], promise: str) -> None:
    """The walk can fail: each promise, broken on purpose, is reported with the way to it."""
    broken = changed(SHELF.job("oil-and-filter"), step, **fields)
    report = explore(broken, SHELF.vehicle("tarnwick-plover-16"))
    assert any(promise in line for line in report.broken)


def test_a_pause_that_lets_words_through_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "WHILE_PAUSED", (*engine.WHILE_PAUSED, "torque"))
    report = explore(SHELF.job("oil-and-filter"), SHELF.vehicle("tarnwick-plover-16"), most=50)
    assert any("a pause of the listening goes wrong ['torque']" in line for line in report.broken)
