"""Older forms of facts, lifted to today's by small pure functions on their JSON. No fact in a journal is rewritten.

Form 1 is everything that was written before facts carried their form: it is told by its shape. Whoever changes a kind
so that what was written before can't be read, or would be read as something else, raises `FORM`, writes a function
here, and puts a sample of the form before under `tests/core/job/older_forms/`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from typing import Any

FORM = 3
"""The form of the facts that are written now."""

Body = dict[str, Any]

RAISED, RUNNING = "raised", "engine-running"
"""The conditions of a car, as far as form 1 knew any."""


def lift(kind: str, body: str, form: int) -> tuple[str, str]:
    """Return a fact of an older form as one of today's; what needs no lifting comes back as it is."""
    known = kind
    lifted: Body | None = None
    try:
        for each in range(form, FORM):
            if lifting := _LIFTS.get((each, known)):
                known, lifted = lifting(json.loads(body) if lifted is None else lifted)
    except (ValueError, TypeError, KeyError, AttributeError):
        return kind, body  # it is told by whoever reads it that it can't be read
    return (known, json.dumps(lifted, ensure_ascii=False)) if lifted is not None else (kind, body)


def without(body: Any, places: Iterable[Sequence[int | str]]) -> Any:
    """Return a JSON value without the fields at some places: those that nobody knows any more."""
    for place in places:
        holder = body
        for key in place[:-1]:
            holder = holder[key]
        holder.pop(place[-1], None)
    return body


def _car_changed(body: Body) -> tuple[str, Body]:
    """Once the car had four states in code; today a condition holds or not, and a fluid that ran out is another."""
    changes = {"raised": (RAISED, True), "lowered": (RAISED, False),
               "engine-started": (RUNNING, True), "engine-stopped": (RUNNING, False)}  # fmt: skip
    if body["what"] == "drained":
        return "Drained", {}
    condition, holds = changes[body["what"]]
    return "ConditionChanged", {"condition": condition, "holds": holds}


def _job_opened(body: Body) -> tuple[str, Body]:
    """Once effects on the car, leaks and sealed gates were known to the code; today conditions, acts and blocks say it.

    A job of that time gets conditions that ask for no less: raised by a step of its own while somebody is under it,
    the engine off there and at every part.
    """
    procedure = body["procedure"]
    if "conditions" in procedure:
        return "JobOpened", body
    lifted = {
        **procedure,
        "conditions": _CONDITIONS,
        "exposure": _EXPOSURE,
        "parts": [_part(part) for part in procedure.get("parts", ())],
        "gates": [_gate(gate) for gate in procedure.get("gates", ())],
        "steps": [_step(step) for step in procedure["steps"]],
    }
    return "JobOpened", {**body, "procedure": lifted}


_CONDITIONS = [
    {"id": RAISED, "name": "The car is raised", "gated": True},
    {
        "id": RUNNING,
        "name": "The engine is running",
        "hazard": True,
        "gated": True,
        "begin": [{"do": "Start the engine.", "says": ["I started the engine"]}],
        "end": [{"do": "Switch the engine off.", "says": ["the engine is off", "I switched the engine off"]}],
    },
]
_EXPOSURE = [
    {"where": ["under"], "holds": [RAISED], "never": [RUNNING]},
    {"parts": True, "never": [RUNNING]},
]
_ACTS = {"raised": ["raising"], "lowered": ["lowering"], "engine-started": ["starting", "running"]}
_SETS = {"raised": RAISED, "engine-started": RUNNING}
_ENDS = {"lowered": RAISED, "engine-stopped": RUNNING}
_CAUSES = {"raised": "raising", "lowered": "lowering", "engine-stopped": f"{RUNNING}:over"}


def _part(part: Body) -> Body:
    """A part that would leak blocks the engine."""
    leak = part.get("leak")
    return {**_but(part, "leak"), "blocks": ["starting", "running"] if leak else []}


def _step(step: Body) -> Body:
    """What a step did to the car becomes acts, and conditions that it sets and ends."""
    does = step.get("does", ())
    return {
        **_but(step, "does"),
        "acts": [act for effect in does for act in _ACTS.get(effect, ())],
        "sets": [_SETS[effect] for effect in does if effect in _SETS],
        "ends": [_ENDS[effect] for effect in does if effect in _ENDS],
        "drains": "drained" in does,
    }


def _gate(gate: Body) -> Body:
    """A gate falls with acts and conditions. What a sealed one asked for, every step that runs the engine asks for."""
    causes = [_CAUSES.get(cause, cause) for cause in gate["falls_on"]]
    return {**_but(gate, "sealed"), "falls_on": causes, "asks": [_ask(ask) for ask in gate["asks"]]}


def _ask(ask: Body) -> Body:
    """A challenge says what to do where it is denied, and a number has a most: none was known, so it is far off."""
    refusals = [option["refuse"] for option in ask.get("options", ()) if option.get("refuse")]
    denied = ask.get("too_little") or next(iter(refusals), "") or ask["ask"]
    lifted = {**ask, "denied": denied}
    if ask.get("kind") is None:
        return lifted
    most = 50 if ask["kind"] == "count" else "100 t"
    return {**lifted, "most": most, "too_much": "That can't be right. Say it again."}


def _but(body: Body, *names: str) -> Body:
    return {key: value for key, value in body.items() if key not in names}


FLUID = "oil"
"""What the one fluid of a job was called in tags, as far as form 2 knew any."""
_LEVEL, _ODOMETER = "oil-level", "odometer"
"""The readings that the code knew by name then."""


def _named_fluid(body: Body) -> tuple[str, Body]:
    """Once a job had one fluid; today it has any, each by its name."""
    return "Drained", {**body, "fluid": FLUID}


def _of_fluid(body: Body) -> tuple[str, Body]:
    """A reading of the one fluid names it."""
    of = body.get("adds") or body.get("removes") or "lowest" in body["value"]
    return "ReadingTaken", {**body, "of": FLUID} if of else body


def _worked_out(body: Body) -> tuple[str, Body]:
    """Once the code knew a few computed values by their names; today a job says how each is worked out."""
    procedure = body["procedure"]
    steps = procedure["steps"]
    told = any(_tells_of_fluid(step) for step in steps)
    fluid = procedure.get("fluid") or ({"name": "fluid", "capacity": "capacity", "span": "span"} if told else None)
    says = any("{next-distance}" in step["say"] for step in steps)
    lifted = {
        **_but(procedure, "fluid"),
        "computed": _computed(fluid, procedure.get("values", {}), steps),
        "fluids": {FLUID: _fluid(fluid)} if fluid else {},
        "finish": "Next change: at {next-distance}." if says else "",
        "steps": [_step_of_fluid(step) if fluid else _but(step, "drains") for step in steps],
    }
    return "JobOpened", {**body, "procedure": lifted}


def _tells_of_fluid(step: Body) -> bool:
    reading = step.get("reading") or {}
    level = reading.get("kind") == "level"
    return bool(step.get("drains") or reading.get("adds") or reading.get("removes") or level)


def _step_of_fluid(step: Body) -> Body:
    reading = step.get("reading")
    named = {**step, "drains": FLUID if step.get("drains") else None}
    return (
        {**named, "reading": {**reading, "of": FLUID}} if reading and _tells_of_fluid({"reading": reading}) else named
    )


def _fluid(fluid: Body) -> Body:
    names = {"least": "safe-minimum", "first": "first-fill", "room": "top-up", "surplus": "draw-off"}
    return {**fluid, **names, "gauge": "the dipstick", "needed_by": ["running"]}


def _computed(fluid: Body | None, values: Body, steps: list[Body]) -> Body:
    found: Body = {}
    if fluid:
        capacity, span = fluid["capacity"], fluid["span"]
        both, marks = {"capacity": capacity, "span": span}, {"reading": _LEVEL, "span": span}
        found |= {
            "first-fill": {"work_out": "first-fill", "inputs": {**both, "jug": "graduation"}},
            "safe-minimum": {"work_out": "least-fill", "inputs": both},
            "top-up": {"work_out": "room-to-full", "inputs": {**marks, "jug": "graduation"}},
            "draw-off": {"work_out": "draw-off", "inputs": marks},
            "pan-size": {"work_out": "drain-pan", "inputs": {"capacity": capacity}},
        }
    if "mass" in values:
        found["stand-rating"] = {"work_out": "stand-rating", "inputs": {"mass": "mass"}}
    if "interval-distance" in values and any((step.get("reading") or {}).get("name") == _ODOMETER for step in steps):
        inputs = {"odometer": _ODOMETER, "interval-distance": "interval-distance"}
        found["next-distance"] = {"work_out": "due-distance", "inputs": inputs, "report": "next change at"}
    if "interval-time" in values:
        inputs = {"day": "today", "interval-time": "interval-time"}
        found["next-date"] = {"work_out": "due-date", "inputs": inputs, "report": "or on"}
    return found


_LIFTS: dict[tuple[int, str], Callable[[Body], tuple[str, Body]]] = {
    (1, "CarChanged"): _car_changed,
    (1, "JobOpened"): _job_opened,
    (2, "JobOpened"): _worked_out,
    (2, "Drained"): _named_fluid,
    (2, "ReadingTaken"): _of_fluid,
}
"""What lifts which kind of which form."""
