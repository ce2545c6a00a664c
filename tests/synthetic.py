"""Invented jobs of any size, for measuring how walks grow: rows of steps, parts to open and close, choices, loops."""

from __future__ import annotations

from typing import Any

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle

CAR = Vehicle.model_validate(
    {"id": "any-car", "title": "Any car", "about": "Invented for tests.", "units": "metric",
     "values": {"torque": {"value": "30 N·m", "source": "invented"}}}
)  # fmt: skip


_TORQUE = {"kind": "torque", "name": "torque", "find": "Look.", "least": "5 N·m", "most": "99 N·m"}


def synthetic(steps: int = 4, parts: int = 0, choices: int = 0, loops: int = 0) -> Procedure:
    """Return a job of so many plain steps, parts that are opened, closed and tightened, choices that later steps
    depend on, and ways that lead back where a look finds something."""
    rows = [_step(f"plain-{number}") for number in range(steps)]
    for number in range(choices):
        rows.append(_step(f"choose-{number}", choice=_choice(f"way-{number}")))
        rows += [_step(f"go-{number}-{way}", when=[f"way-{number}:{way}"]) for way in ("left", "right")]
    rows += [_step(f"open-{number}", opens=[f"part-{number}"]) for number in range(parts)]
    rows += [
        _step(f"close-{number}", closes=[f"part-{number}"], tighten={"part": f"part-{number}"})
        for number in range(parts)
    ]
    for number in range(loops):
        rows.append(_step(f"look-{number}", choice=_choice(f"look-{number}")))
        rows.append(_step(f"again-{number}", when=[f"look-{number}:left"], then=f"look-{number}"))
    rows.append(_step("end"))
    return Procedure.model_validate(
        {
            "id": "synthetic", "title": "Synthetic", "about": "Invented for tests.", "steps": rows,
            "values": {"torque": _TORQUE},
            "parts": [_part(number) for number in range(parts)],
        }
    )  # fmt: skip


def _step(name: str, **fields: Any) -> dict[str, Any]:
    return {"id": name, "title": name, "where": "bench", "say": "Do it.", "why": "To see.", **fields}


def _part(number: int) -> dict[str, Any]:
    return {"id": f"part-{number}", "name": f"part {number}", "torque": "torque"}


def _choice(name: str) -> dict[str, Any]:
    options = [{"id": way, "says": [f"the {way} one"], "show": way} for way in ("left", "right")]
    return {"name": name, "ask": "Which one?", "options": options}
