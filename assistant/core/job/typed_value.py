"""The value that a typed line with figures tells where one is asked for: exact, refused, or no value at all."""

from __future__ import annotations

from assistant.core.amounts.figures import begin_with_figures, plain
from assistant.core.amounts.levels import read_level
from assistant.core.amounts.reader import read_amount
from assistant.core.amounts.typed import doubt_in
from assistant.core.errors import ReadingError
from assistant.core.job.question import DRAWN_OFF, Waiting, question
from assistant.core.job.state import State
from assistant.core.quantities.units import Kind, Value

LEVEL = "level"
"""The kind of a reading of the dipstick."""


def typed_value(state: State, line: str) -> Value | None:
    """Return the value that a line is, in a form that is not said ("350 cl", "3/8", "5 mm of 20 mm"); None for others.

    ReadingError for a line that begins with a number, or has one, which is no exact value of what is asked for.
    """
    kind = asked_kind(state)
    if kind is None:
        return None
    if doubt := doubt_in(line):
        raise ReadingError(f"{line!r}: {doubt}", say=doubt)
    if begin_with_figures(plain(line)) is None or " or " in line:
        return None  # which of two was meant is asked as of other answers
    return read_level(line) if kind == LEVEL else read_amount(line, Kind(kind), str(state.vehicle.units))


def asked_kind(state: State) -> str | None:
    """Return of which kind a value is asked for, `level` for the dipstick; None where none is."""
    asked = question(state)
    match asked.waiting:
        case Waiting.VALUE:
            return state.procedure.values[asked.about].kind
        case Waiting.TIGHTEN:
            return Kind.TORQUE
        case Waiting.TURN:
            return Kind.ANGLE
        case Waiting.EVIDENCE:
            return asked.ask.kind if asked.ask else None
        case Waiting.READING:
            reading = state.here.reading
            return Kind.VOLUME if asked.about == DRAWN_OFF else reading.kind if reading else None
    return None
