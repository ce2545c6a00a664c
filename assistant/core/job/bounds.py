"""Between what a value has to lie that is asked for, as `readings.py` checks it: to tell it ahead."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.core.compute.bolts.torque import permissible_deviation
from assistant.core.data.gate import Ask
from assistant.core.data.procedure import Wanted
from assistant.core.data.step import Reading
from assistant.core.job import known
from assistant.core.job.bands import limit_of
from assistant.core.job.fastening import ANGLE_ERROR
from assistant.core.job.filling import fill_of
from assistant.core.job.question import DRAWN_OFF, Question, Waiting, question
from assistant.core.job.readings import TOOL_LENGTHS, bounds_of, usual_bounds
from assistant.core.job.state import State
from assistant.core.quantities.owner_units import owner_unit
from assistant.core.quantities.units import Amount, Kind, amount, convert


@dataclass(frozen=True, slots=True)
class Bounds:
    """The least and the most that a value may be, each in a unit of its own; None where nothing bounds it."""

    least: Amount | None
    most: Amount | None

    def within(self, unit: str) -> tuple[Decimal | None, Decimal | None]:
        """Return both in one unit of their kind."""
        least, most = (convert(one, unit).magnitude if one else None for one in (self.least, self.most))
        return least, most


_EVERYWHERE = {
    Kind.VOLTAGE: "volt", Kind.CURRENT: "ampere", Kind.CHARGE: "ampere_hour", Kind.SHARE: "percent",
    Kind.ANGLE: "degree_of_arc", Kind.SPEED: "kilometre_per_hour", Kind.FORCE: "newton", Kind.AREA: "square_millimetre",
    Kind.DENSITY: "gram_per_millilitre", Kind.VISCOSITY: "square_millimetre_per_second",
    Kind.CONSUMPTION: "litre_per_1000_kilometre", Kind.TEMPERATURE_DIFFERENCE: "kelvin",
}  # fmt: skip
"""Units of what is asked for in one unit in all systems."""


def unit_for(kind: Kind, system: str) -> str:
    """Return the unit in which the bounds of a kind are told to an owner of that system."""
    return _EVERYWHERE.get(kind) or owner_unit(kind, system)


def of_wanted(wanted: Wanted) -> Bounds:
    """Return the bounds of a value of the vehicle that its owner tells."""
    return Bounds(wanted.least, wanted.most)


def of_reading(state: State, reading: Reading) -> Bounds | None:
    """Return the bounds of a reading, as far as they are known; None for the dipstick."""
    if reading.kind == "level":
        return None
    kind = Kind(reading.kind)
    unit = unit_for(kind, state.vehicle.units)
    least, most = (limit_of(state, bound, unit, kind) for bound in (reading.least, reading.most))
    usual = usual_bounds(state, reading) or (None, None)
    return Bounds(least or usual[0], most or usual[1])


def of_ask(state: State, ask: Ask) -> Bounds | None:
    """Return the bounds of the number that answers a challenge; None where it asks for no number."""
    if ask.kind is None:
        return None
    unit = unit_for(ask.kind, state.vehicle.units)
    least, most = (limit_of(state, bound, unit, ask.kind) for bound in bounds_of(ask))
    return Bounds(least, most)


def of_torque(wanted: Amount) -> Bounds:
    """Return the torques that agree with the wanted one, within what the wrench itself may be off."""
    off = permissible_deviation(wanted)
    return Bounds(*(Amount(wanted.magnitude * (1 + share), wanted.unit, wanted.kind) for share in (-off, off)))


def of_turn(wanted: Amount) -> Bounds:
    """Return the angles that count as the wanted one."""
    whole = convert(wanted, "degree_of_arc").magnitude
    return Bounds(*(Amount(whole + off, "degree_of_arc", Kind.ANGLE) for off in (-ANGLE_ERROR, ANGLE_ERROR)))


def of_tool(tool: str) -> Bounds:
    """Return the lengths that a tool can have."""
    least, most = TOOL_LENGTHS[tool]
    return Bounds(amount(least), amount(most))


def of_asked(state: State) -> Bounds | None:
    """Return the bounds of the value that is asked for now, or may be told anew while it waits to be confirmed."""
    asked = question(state)
    match asked.waiting:
        case Waiting.CONFIRM:
            return _of_pending(state)
        case Waiting.VALUE:
            return of_wanted(state.procedure.values[asked.about])
        case Waiting.EVIDENCE if asked.ask:
            return of_ask(state, asked.ask)
        case Waiting.TIGHTEN | Waiting.TURN:
            return _of_part(state)
        case Waiting.READING:
            return _of_step(state, asked)
    return None


def expected(state: State) -> Amount | None:
    """Return the value that is right now, where only one is: what has to be poured in or drawn off, or the torque."""
    asked = question(state)
    if asked.waiting in (Waiting.TIGHTEN, Waiting.TURN):
        return _wanted_of_part(state)
    filled = fill_of(state, state.here) if asked.waiting is Waiting.READING else None
    if filled is None:
        return None
    return filled.surplus if asked.about == DRAWN_OFF else filled.wanted


def _of_pending(state: State) -> Bounds | None:
    pending = state.pending
    if not pending or not isinstance(pending.value, Amount):
        return None
    return of_wanted(state.procedure.values[pending.name]) if pending.name else _of_part(state)


def _of_part(state: State) -> Bounds | None:
    wanted = _wanted_of_part(state)
    if wanted is None:
        return None
    return of_turn(wanted) if wanted.kind is Kind.ANGLE else of_torque(wanted)


def _wanted_of_part(state: State) -> Amount | None:
    """Return the torque, or the further turn, that is wanted of the part at hand."""
    tighten = state.here.tighten
    if tighten is None:
        return None
    part = state.procedure.part(tighten.part)
    return known.value(state, (part.angle if state.turning else part.torque) or "")


def _of_step(state: State, asked: Question) -> Bounds | None:
    reading = state.here.reading
    if reading and asked.about == DRAWN_OFF:
        reading = drawn_off(reading)
    return of_reading(state, reading) if reading else None


def drawn_off(reading: Reading) -> Reading:
    """Return the reading of what came out again, where a step that pours in has too much."""
    return reading.model_copy(update={"name": DRAWN_OFF, "adds": False, "removes": True})
