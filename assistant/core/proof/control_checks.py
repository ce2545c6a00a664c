"""What of the ends, the repeated steps and the exceptions of a job contradicts itself, found when its file is read."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.car import Condition
from assistant.core.data.control import SafeEnd
from assistant.core.data.gate import Option
from assistant.core.data.measured import Band
from assistant.core.data.procedure import Procedure
from assistant.core.data.short_form.places import Place


def faults_of_control(job: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield each fault with its place."""
    yield from _faults_of_repeats(job)
    yield from _faults_of_allows(job)
    yield from _faults_of_stops(job)
    for number, end in enumerate(job.safe_ends):
        yield from ((("safe_ends", number), fault) for fault in _faults_of_end(job, end))
    yield from _faults_of_parts(job)


def _faults_of_repeats(job: Procedure) -> Iterator[tuple[Place, str]]:
    order = {step.id: place for place, step in enumerate(job.steps)}
    for here, step in enumerate(job.steps):
        if not step.repeat:
            continue
        place: Place = ("steps", here, "repeat")
        to, out = order.get(step.repeat.to), order.get(step.repeat.out)
        if to is None or out is None:
            unknown = step.repeat.to if to is None else step.repeat.out
            yield (*place, "to" if to is None else "out"), f"there is no step {unknown!r}"
        elif to > here:
            yield (*place, "to"), f"{step.repeat.to!r} comes after the step that leads back to it"
        elif to <= out <= here:
            yield (*place, "out"), f"{step.repeat.out!r} is one of the steps that are repeated, so it is no way out"


def _faults_of_allows(job: Procedure) -> Iterator[tuple[Place, str]]:
    blocks = {part.id: part.blocks for part in job.parts}
    for number, step in enumerate(job.steps):
        for name in step.allows:
            if not {*step.acts}.intersection(blocks.get(name, ())):
                yield ("steps", number, "allows"), f"{name!r} is no part that blocks one of the acts of this step"


def _faults_of_stops(job: Procedure) -> Iterator[tuple[Place, str]]:
    ends = [end.id for end in job.safe_ends]
    if len({*ends}) < len(ends):
        yield ("safe_ends",), "two of them have the same id"
    stops = [(place, option.stop) for place, option in options_of(job)]
    stops += [(place, band.stop) for place, band in bands_of(job)]
    for place, stop in stops:
        if stop and stop not in ends:
            yield (*place, "stop"), f"there is no safe end {stop!r}; there are {', '.join(ends) or 'none'}"


def _faults_of_end(job: Procedure, end: SafeEnd) -> Iterator[str]:
    known = {one.id: one for one in job.conditions}
    for name in (*end.holds, *end.never):
        if name not in known:
            yield f"it names the condition {name!r}; there are {', '.join(sorted(known)) or 'none'}"
    yield from (_brought_about(known[name]) for name in end.holds if name in known and not _can_begin(known[name]))
    for name in end.never:
        if name in known and not known[name].end:
            yield f"it asks that {name!r} is over, and nothing tells how that is brought about: it has no `end`"


def _can_begin(condition: Condition) -> bool:
    return bool(condition.begin) and not condition.gated


def _brought_about(condition: Condition) -> str:
    why = "only a step brings it about, as it is `gated`" if condition.gated else "nothing tells how: it has no `begin`"
    return f"it asks for {condition.id!r}, and {why}"


def _faults_of_parts(job: Procedure) -> Iterator[tuple[Place, str]]:
    for number, part in enumerate(job.parts):
        if part.angle and not part.torque:
            yield ("parts", number, "angle"), "the further turn comes after a `torque`, and it has none"
        for field in ("angle", "count"):
            name = getattr(part, field)
            if isinstance(name, str) and name not in job.values:
                yield ("parts", number, field), f"{name!r} is not among the `values`, so nobody could be asked for it"
        if part.order and part.count is None:
            yield ("parts", number, "order"), "an order needs the `count` of what is tightened in it"


def options_of(job: Procedure) -> Iterator[tuple[Place, Option]]:
    """Yield every answer of a list that a job may take, with its place."""
    for number, step in enumerate(job.steps):
        for place, option in enumerate(step.choice.options if step.choice else ()):
            yield ("steps", number, "choice", "options", place), option
    for number, gate in enumerate(job.gates):
        for ask_number, ask in enumerate(gate.asks):
            for place, option in enumerate(ask.options):
                yield ("gates", number, "asks", ask_number, "options", place), option


def bands_of(job: Procedure) -> Iterator[tuple[Place, Band]]:
    """Yield every band in which a reading or a computed value may lie, with its place."""
    for number, step in enumerate(job.steps):
        for place, band in enumerate(step.reading.bands if step.reading else ()):
            yield ("steps", number, "reading", "bands", place), band
    for name, computed in job.computed.items():
        for place, band in enumerate(computed.bands):
            yield ("computed", name, "bands", place), band
