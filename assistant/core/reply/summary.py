"""What a finished job comes to: for the ear in a few sentences, for the eye and for programs in full. Only reads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from assistant.core.data.base import names_in
from assistant.core.job import known as facts
from assistant.core.job.state import State
from assistant.core.job.wording import next_date, say_for_owner, show_for_owner, show_value, spoken
from assistant.core.quantities.units import Amount


@dataclass(frozen=True, slots=True)
class Summary:
    """A finished or unfinished job in figures."""

    title: str
    vehicle: str
    opened_at: datetime
    finished_at: datetime | None
    minutes: int
    lines: tuple[tuple[str, str], ...]
    """Pairs of what and how much, in the order of the job."""


def summarise(state: State, until: datetime) -> Summary:
    """Return the job in figures, as it stands at a time."""
    end = state.finished_at or until
    return Summary(
        title=state.procedure.title,
        vehicle=state.vehicle.title,
        opened_at=state.opened_at,
        finished_at=state.finished_at,
        minutes=max(0, round((end - state.opened_at).total_seconds() / 60)),  # less, where the clock was set back
        lines=tuple(_lines(state)),
    )


def _lines(state: State) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    if odometer := state.last("odometer"):
        lines.append(("odometer", show_value(odometer.value)))
    fluid = state.procedure.fluid
    if fluid and state.spec(fluid.capacity):
        poured, capacity = facts.poured(state), facts.value(state, fluid.capacity)
        share = f"{show_for_owner(state, poured)} of {show_for_owner(state, capacity)}"
        lines.append((f"{fluid.name} poured, of capacity", share))
    if level := state.last(facts.LEVEL):
        lines.append(("final level", show_value(level.value)))
    lines += [
        (f"{state.procedure.part(part).name.removeprefix('the ')} tightened", show_value(value))
        for part, value in state.torques.items()
    ]
    lines.append(("replaced", ", ".join(_replaced(state))))
    lines.append(("still open", ", ".join(part.name for part in state.ledger.open_in(state.procedure)) or "nothing"))
    if odometer and state.spec("interval-distance") and isinstance(odometer.value, Amount):
        lines.append(("next change at", show_for_owner(state, facts.value(state, "next-distance"))))
    if state.spec("interval-time"):
        lines.append(("or on", next_date(state)))
    return [(name, text) for name, text in lines if text]


def _replaced(state: State) -> list[str]:
    """Return what the steps that were passed renewed: oil, filter, washer."""
    passed = {*state.path}
    return [text for step in state.procedure.steps if step.id in passed for text in step.replaces]


def finish(state: State) -> str:
    """Return the end of a job for the ear."""
    said = ["The job is finished. Nothing is open."]
    if state.procedure.fluid and facts.poured(state).magnitude:
        said.append(f"Poured in: {say_for_owner(state, facts.poured(state))}.")
    said += [
        spoken(state, "Next change: at {" + name + "}.")
        for name in ("next-distance",)
        if any(name in names_in(step.say) for step in state.procedure.steps)
    ]
    return " ".join(said)
