"""What a finished job comes to: for the ear in a few sentences, for the eye and for programs in full. Only reads."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from assistant.core.compute.base.spoken import in_words
from assistant.core.job import known
from assistant.core.job.findings import findings, verdict
from assistant.core.job.state import State
from assistant.core.job.wording import say_for_owner, show_for_owner, show_value, spoken


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
    lines = [*_stopped(state), *_read_off(state), *_filled(state)]
    lines += [
        (f"{state.procedure.part(part).name.removeprefix('the ')} tightened", show_value(value))
        for part, value in state.torques.items()
    ]
    lines += [
        (f"{state.procedure.part(part).name.removeprefix('the ')} turned further", show_value(value))
        for part, value in state.angles.items()
    ]
    lines.append(("replaced", ", ".join(_replaced(state))))
    lines.append(("still open", ", ".join(part.name for part in state.ledger.open_in(state.procedure)) or "nothing"))
    lines += [(f"{found.what}, {found.place}", str(found.grade)) for found in findings(state)]
    lines += [("verdict", verdict(state))] if findings(state) else []
    return [(name, text) for name, text in (*lines, *_worked_out(state)) if text]


def _stopped(state: State) -> Iterator[tuple[str, str]]:
    """Yield how and why the job was stopped, where it was."""
    if state.stopped:
        yield "stopped", f"{state.procedure.end(state.stopped.end).name}: {state.stopped.reason}"


def _read_off(state: State) -> Iterator[tuple[str, str]]:
    """Yield what was read off and tells of no fluid, each by its name as it was last read."""
    latest = {one.name: one for one in state.readings if not one.of}
    yield from ((name.replace("-", " "), show_value(one.value)) for name, one in latest.items())


def _filled(state: State) -> Iterator[tuple[str, str]]:
    """Yield how much was poured in of each fluid, and how it stood at last."""
    fluids = state.procedure.fluids
    for name, fluid in fluids.items():
        if state.spec(fluid.capacity):
            poured, capacity = known.poured(state, name), known.value(state, fluid.capacity)
            share = f"{show_for_owner(state, poured)} of {show_for_owner(state, capacity)}"
            yield f"{fluid.name} poured, of capacity", share
        if level := state.level(name):
            yield "final level" if len(fluids) == 1 else f"final level, {fluid.name}", show_value(level)


def _worked_out(state: State) -> Iterator[tuple[str, str]]:
    """Yield what was worked out for the report, as far as all is known that it rests on; nothing of a stopped job."""
    for name, computed in state.procedure.computed.items():
        if computed.report and not state.stopped:
            with suppress(known.Missing):
                found = known.words_or_amount(state, name)
                yield computed.report, in_words(found) if isinstance(found, str) else show_for_owner(state, found)


def _replaced(state: State) -> list[str]:
    """Return what the steps that were passed renewed: oil, filter, washer. Where a job stopped nothing was done yet."""
    passed = {*(state.path[:-1] if state.stopped else state.path)}
    texts = [text for step in state.procedure.steps if step.id in passed for text in step.replaces]
    once = [part.once for part in state.procedure.parts if part.id in state.renewed and part.once not in texts]
    return [*texts, *once]


def finish(state: State) -> str:
    """Return the end of a job for the ear."""
    said = ["The job is finished. Nothing is open."]
    poured = [known.poured(state, name) for name in state.procedure.fluids]
    several = zip(state.procedure.fluids.values(), poured, strict=True)
    if len(poured) == 1 and poured[0].magnitude:
        said.append(f"Poured in: {say_for_owner(state, poured[0])}.")
    elif len(poured) > 1:
        said += [f"{fluid.name.capitalize()} poured in: {say_for_owner(state, much)}." for fluid, much in several
                 if much.magnitude]  # fmt: skip
    said += [f"The verdict: {verdict(state)}."] if findings(state) else []
    return " ".join([*said, spoken(state, state.procedure.finish)]).strip()
