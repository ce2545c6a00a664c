"""What a job knows already of what a computation takes, as texts: from the vehicle, its owner, and its readings."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from assistant.core.compute.jug import graduation
from assistant.core.job.known import bolt, poured
from assistant.core.job.state import State
from assistant.core.quantities.units import Level, Value, write_amount


def known(state: State, name: str, at: datetime) -> str | None:
    """Return something that the job knows, as it is given to a computation; None where it does not."""
    if name == TODAY:
        return at.date().isoformat()
    value = _OF_JOB[name](state) if name in _OF_JOB else _of_vehicle(state, name) or _read(state, name)
    if value is None:
        return None
    return value.said if isinstance(value, Level) else write_amount(value)


TODAY = "today"
"""The day of the job; it is taken without a word."""


def _of_vehicle(state: State, name: str) -> Value | None:
    spec = state.spec(name)
    return spec.value if spec else None


def _read(state: State, name: str) -> Value | None:
    reading = state.last(name)
    return reading.value if reading else None


def _poured(state: State) -> Value | None:
    """Return what was poured in of the fluid that the job changed first, once anything was."""
    totals = (poured(state, fluid) for fluid in state.procedure.fluids)
    return next((total for total in totals if total.magnitude > 0), None)


def _bolt_torque(state: State) -> Value | None:
    part = bolt(state)
    return _of_vehicle(state, part.torque) if part and part.torque else None


_OF_JOB: dict[str, Callable[[State], Value | None]] = {
    "jug": lambda state: graduation(str(state.vehicle.units)),
    "poured": _poured,
    "bolt-torque": _bolt_torque,
    "wrench": lambda state: state.tools.get("wrench"),
    "adapter": lambda state: state.tools.get("adapter"),
}
"""What a job knows beside the values of its vehicle and its readings, which go by their own names."""
