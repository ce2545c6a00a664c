"""Rules of kinds and limits: a torque is no volume, and the least lies below the most."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.procedure import Procedure
from assistant.core.errors import ReadingError
from assistant.core.proof.checks import Place
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered
from assistant.core.quantities.units import Amount, Kind, amount, convert


def _of_value(job: Procedure, beside: Beside) -> Iterator[Found]:
    for name, wanted in job.values.items():
        for field in ("least", "most"):
            bound: Amount = getattr(wanted, field)
            if bound.kind is not wanted.kind:
                yield ("values", name, field), f"a {wanted.kind} is wanted, and this is a {bound.kind}"


def _of_use(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, part in numbered(job.parts, "parts"):
        yield from _must_be(job, (*place, "torque"), part.torque, Kind.TORQUE)
    for name, fluid in job.fluids.items():
        for field in ("capacity", "span", "least", "first"):
            yield from _must_be(job, ("fluids", name, field), getattr(fluid, field), Kind.VOLUME)
    for gate_place, gate in numbered(job.gates, "gates"):
        for place, ask in numbered(gate.asks, *gate_place, "asks"):
            for field in ("least", "most"):
                bound = getattr(ask, field)
                if ask.kind and isinstance(bound, str):
                    yield from _must_be(job, (*place, field), bound, ask.kind)


def _must_be(job: Procedure, place: tuple[int | str, ...], name: str | None, kind: Kind) -> Iterator[Found]:
    wanted = job.values.get(name or "")
    if wanted and wanted.kind is not kind:
        yield place, f"a {kind} is wanted, and {name!r} is a {wanted.kind}"


def _of_readings(job: Procedure, beside: Beside) -> Iterator[Found]:
    for place, step in numbered(job.steps, "steps"):
        reading = step.reading
        if not reading:
            continue
        if (reading.adds or reading.removes or reading.fills) and reading.kind is not Kind.VOLUME:
            yield (*place, "reading", "kind"), f"what is poured in or comes out is a volume, not a {reading.kind}"
        if reading.adds and reading.removes:
            yield (*place, "reading", "removes"), "it is poured in or comes out, not both"
        if reading.fills and not reading.adds:
            yield (*place, "reading", "fills"), "a step that fills pours in: `adds: true`"


def _bounds(job: Procedure, beside: Beside) -> Iterator[Found]:
    for name, wanted in job.values.items():
        if wanted.least.kind is wanted.most.kind and _above(wanted.least, wanted.most):
            yield ("values", name, "least"), "the least is more than the most"
    for place, kind, low, high in _bounded(job):
        least, most = _written(low, kind), _written(high, kind)
        if least and most and _above(least, most):
            yield (*place, "least"), "the least is more than the most"


def _bounded(job: Procedure) -> Iterator[tuple[Place, Kind | None, int | str | None, int | str | None]]:
    """Yield all that is asked within limits: what gates ask, and readings."""
    for gate_place, gate in numbered(job.gates, "gates"):
        for place, ask in numbered(gate.asks, *gate_place, "asks"):
            yield place, ask.kind, ask.least, ask.most
    for place, step in numbered(job.steps, "steps"):
        if step.reading and isinstance(step.reading.kind, Kind):
            yield (*place, "reading"), step.reading.kind, step.reading.least, step.reading.most


def _above(least: Amount, most: Amount) -> bool:
    return least.magnitude > convert(most, least.unit).magnitude


def _written(bound: int | str | None, kind: Kind | None) -> Amount | None:
    """Return a bound that is written; None for the name of a value, and for none."""
    try:
        return None if bound is None else amount(f"{bound} piece" if isinstance(bound, int) else bound, kind)
    except ReadingError:
        return None


RULES = (
    Rule("kind-of-value", Severity.FAULT, "Limits of another kind can't be compared with what is told.",
         "Write the limit in a unit of the kind.", _of_value),
    Rule("kind-of-use", Severity.FAULT, "A value of another kind can't be used there.",
         "Name a value of that kind.", _of_use),
    Rule("kind-of-reading", Severity.FAULT, "What is counted with what is in has to be a volume, one way or the other.",
         "Mend the `kind`, or take `adds`, `removes` or `fills` away.", _of_readings),
    Rule("least-above-most", Severity.FAULT, "Nothing lies between such limits: every answer would be refused.",
         "Turn the limits round.", _bounds),
)  # fmt: skip
