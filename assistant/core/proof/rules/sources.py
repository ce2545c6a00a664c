"""Rules of sources: every number, limit and claim says where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.data.gate import Ask
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.proof.checks import Place
from assistant.core.proof.rules.rule import Beside, Found, Rule, Severity, numbered

NO_SOURCES = frozenset({"unknown", "none", "tbd", "todo", "n/a", "???", "xxx", "somewhere", "internet", "the internet"})
"""What stands where a source should, and is none."""


def _empty_source(vehicle: Vehicle, beside: Beside) -> Iterator[Found]:
    for field in ("values", "notes"):
        for name, one in getattr(vehicle, field).items():
            if one.source.strip(" .").casefold() in NO_SOURCES:
                yield (field, name, "source"), f"{one.source!r} tells nobody where {name!r} can be looked up"


def _unsourced_limit(job: Procedure, beside: Beside) -> Iterator[Found]:
    if beside.remarks is None:
        return
    for gate_place, gate in numbered(job.gates, "gates"):
        for place, ask in numbered(gate.asks, *gate_place, "asks"):
            limits = list(_written_limits(job, ask, place))
            lines = [beside.line_of(one) for one in limits]
            numbers = [number for _, number in lines]
            if lines and not beside.remarks(lines[0][0]).intersection(range(min(numbers) - 1, max(numbers) + 1)):
                yield limits[0], f"nothing says where the limits of {ask.id!r} come from"


def _written_limits(job: Procedure, ask: Ask, place: Place) -> Iterator[Place]:
    """Yield where a limit is written, and not the name of a value."""
    for field in ("least", "most"):
        bound = getattr(ask, field)
        if isinstance(bound, int) or (isinstance(bound, str) and bound[:1].isdigit()):
            yield (*place, field)


RULES_OF_JOBS = (
    Rule("limit-without-source", Severity.WARNING, "A limit that nobody can look up can't be held against anybody.",
         "Write behind it where it comes from: # common practice, no source.", _unsourced_limit),
)  # fmt: skip
RULES_OF_VEHICLES = (
    Rule("source-empty", Severity.WARNING, "A torque or a claim that nobody can look up can't be checked.",
         "Name the book and the page, the plate, or who told it.", _empty_source),
)  # fmt: skip
