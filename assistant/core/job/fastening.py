"""The fasteners of a part: how many, in which order, by how much they are turned further, and what must be new."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.base.result import Finding
from assistant.core.compute.bolts.tightening import cover_order, ring_order
from assistant.core.data.part import Part
from assistant.core.data.step import Step
from assistant.core.errors import ReadingError
from assistant.core.job import known
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, Kind, Value, amount, convert

ANGLE_ERROR = Decimal(2)
"""By how much an angle that was read off may differ from the one that is wanted [degree of arc]. Common practice, no
source: the lines of a gauge are two degrees apart."""
_ANY_TORQUE = amount("10 N·m")
"""The order does not depend on it."""


def not_shown_new(state: State, step: Step) -> Part | None:
    """Return a part that the step closes with something that must be new, and of which nobody said so."""
    parts = (state.procedure.part(name) for name in step.closes)
    return next((part for part in parts if part.once and part.id not in state.renewed), None)


def count_of(state: State, part: Part) -> int | None:
    """Return how many fasteners a part has; None where nobody tells."""
    if part.count is None or isinstance(part.count, int):
        return part.count
    try:
        return int(known.value(state, part.count).magnitude)
    except known.Missing:
        return None


def order_of(state: State, part: Part) -> tuple[int, ...]:
    """Return the order in which the fasteners of a part are tightened, by their numbers; empty where there is none."""
    count = count_of(state, part)
    if not count or not part.order:
        return ()
    try:
        found = ring_order(_pieces(count), _ANY_TORQUE) if part.order == "star" else _cover(count, part.rows)
    except ReadingError:  # too few for an order, or too many to be told one
        return ()
    return tuple(int(number) for number in found.value.split(", "))


def _cover(count: int, rows: int) -> Finding:
    if count % rows:
        raise ReadingError(f"{count} bolts do not lie in {rows} equal rows")
    return cover_order(_pieces(count // rows), _pieces(rows), _ANY_TORQUE)


def _pieces(number: int) -> Amount:
    return Amount(Decimal(number), "one", Kind.COUNT)


def check_turn(state: State, part: Part, value: Value) -> Amount:
    """Return by how much a part was turned further, if that is what is wanted; ReadingError otherwise."""
    wanted = known.value(state, part.angle or "")
    if not isinstance(value, Amount) or value.kind is not Kind.ANGLE:
        raise ReadingError("an angle is needed", say="I need the angle, for instance: sixty degrees.")
    apart = convert(value, "degree_of_arc").magnitude - convert(wanted, "degree_of_arc").magnitude
    if abs(apart) > ANGLE_ERROR:
        too = "too far" if apart > 0 else "not far enough"
        raise ReadingError(
            f"{part.name}: turned {value.magnitude} {value.unit}, wanted {wanted.magnitude} {wanted.unit}",
            say=f"That is {too}. {_MENDS[apart > 0]}",
        )
    return value


_MENDS = {
    True: "It may be overstretched. Undo it, take a new one, and say: go back one step.",
    False: "Turn it on to the full angle, and tell me the whole.",
}
"""What to do with what was turned too far, and with what was not turned far enough. Common practice, no source."""


def is_or_are(thing: str) -> str:
    """Return the verb that goes with a thing: "the washer is", "the bolts are"."""
    return "are" if thing.endswith("s") and not thing.endswith("ss") else "is"
