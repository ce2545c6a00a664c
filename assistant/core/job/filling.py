"""How much of a fluid is in, how much may still be poured in, and how much is too much: from the facts alone.

Its marks go before the sum of what was poured: they show what is there. What came out, drawn off or lost, counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.core.compute import marks
from assistant.core.compute.jug import graduation, round_down
from assistant.core.data.measured import Fluid
from assistant.core.data.step import Reading, Step
from assistant.core.job import known
from assistant.core.job.state import State
from assistant.core.quantities.owner_units import owner_unit
from assistant.core.quantities.units import Amount, Kind, Level, convert

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Fill:
    """How a step that pours in stands, all in the owner's unit [volume]."""

    total: Amount
    """What is in since the fluid ran out, or since the level was read."""
    lacking: Amount
    """What still has to be poured in so that it is enough; nothing where it is."""
    surplus: Amount
    """What is too much; nothing where it is not."""
    wanted: Amount
    """What to pour in next."""
    fluid: str = ""
    """The name of the fluid, as it is spoken of."""

    @property
    def enough(self) -> bool:
        """Whether the step may end."""
        begun = self.total.magnitude > 0 or not self.wanted.magnitude
        return begun and not self.lacking.magnitude and not self.surplus.magnitude


def fill_of(state: State, step: Step) -> Fill | None:
    """Return how a step that pours in stands; None for any other step, and where a reading for that is lacking."""
    reading = step.reading
    if not reading or not reading.fills:
        return None
    try:
        return _fill_of(state, reading)
    except known.Missing:
        return None


def _fill_of(state: State, reading: Reading) -> Fill:
    work = {"capacity": _by_capacity, "mark": _by_mark, "loss": _by_loss}[reading.fills or "loss"]
    return work(state, reading.of or "")


def draws_off(state: State, step: Step) -> bool:
    """Return whether so much is in that some has to be drawn off before a step that pours in can end."""
    filled = fill_of(state, step)
    return filled is not None and filled.surplus.magnitude > 0


def _by_capacity(state: State, name: str) -> Fill:
    unit, fluid = _unit(state), state.procedure.fluids[name]
    total = known.poured(state, name).magnitude
    least, most = (_in(state, each) for each in (fluid.least, fluid.capacity))
    left = Amount(max(NOTHING, _in(state, fluid.first) - total), unit, Kind.VOLUME)
    wanted = convert(round_down(left, graduation(str(state.vehicle.units))), unit).magnitude
    lacking = max(NOTHING, least - total)
    return _fill(state, name, total, lacking, max(NOTHING, total - most), max(wanted, lacking))


def _by_mark(state: State, name: str) -> Fill:
    total = since_read(state, name).magnitude
    room = _in(state, state.procedure.fluids[name].room)
    return _fill(state, name, total, NOTHING, max(NOTHING, total - room), max(NOTHING, room - total))


def _by_loss(state: State, name: str) -> Fill:
    """What came out since the level was last read is poured in again; nothing, where nothing did."""
    since = since_read(state, name).magnitude
    lost = max(NOTHING, -since)
    return _fill(state, name, max(NOTHING, since), lost, max(NOTHING, since), lost)


def _fill(state: State, name: str, *amounts: Decimal) -> Fill:
    total, lacking, surplus, wanted = (Amount(each, _unit(state), Kind.VOLUME) for each in amounts)
    return Fill(total, lacking, surplus, wanted, state.procedure.fluids[name].name)


def since_read(state: State, name: str) -> Amount:
    """Return what was poured in of a fluid since its level was last read, less what came out, in the owner's unit."""
    own = [one for one in state.readings if one.of == name]
    places = [place for place, one in enumerate(own) if isinstance(one.value, Level)]
    return known.sum_of(state, own[places[-1] + 1 :] if places else own)


def unfit(state: State, step: Step) -> str:
    """Return of which fluid there is too little or too much for what a step does; empty where it may be done."""
    for name, fluid in state.procedure.fluids.items():
        told = name in state.drained or (fluid.span and state.level(name))
        if told and set(fluid.needed_by).intersection(step.acts):
            if known.missing_of(state, fluid.least):
                continue  # what nobody told is asked for first
            too_much, too_little = bounds_broken(state, name)
            if too_much or too_little:
                return f"There is too {'much' if too_much else 'little'} {fluid.name} in it. Say: go back one step."
    return ""


def bounds_broken(state: State, name: str) -> tuple[bool, bool]:
    """Return whether there is too much of a fluid for what it is needed by, and whether too little."""
    fluid, level = state.procedure.fluids[name], state.level(name)
    if level and fluid.span:
        return _by_level(state, name, level)
    total = known.poured(state, name).magnitude
    return total > _in(state, fluid.capacity), total < _in(state, fluid.least)


def _by_level(state: State, name: str, level: Level) -> tuple[bool, bool]:
    """Return the same by the mark: what was poured since it was read may fill it up, and no more."""
    fluid: Fluid = state.procedure.fluids[name]
    span, status = _in(state, fluid.span), marks.status(level)
    since = since_read(state, name).magnitude / span
    room = _in(state, fluid.room) / span if status != "over" else NOTHING
    too_much = since > room if status != "over" else level.highest + since > 1 + marks.FULL_TOLERANCE
    return too_much, level.highest + since < 0


def most_to_pour(state: State, reading: Reading) -> Amount:
    """Return the most that is believed to have been poured in at once, or to have come out [volume].

    More than fits can really be poured in, and has to be told; twice the capacity is a slip of the tongue. Common
    practice, no source. What came out can't be more than there was.
    """
    name = reading.of or ""
    whole = _in(state, state.procedure.fluids[name].capacity)
    most = max(whole, known.poured(state, name).magnitude) if reading.removes else 2 * whole
    return Amount(most, _unit(state), Kind.VOLUME)


def _unit(state: State) -> str:
    return owner_unit(Kind.VOLUME, state.vehicle.units)


def _in(state: State, name: str | None) -> Decimal:
    """Return a volume by its name, in the owner's unit; `Missing` where nobody told it."""
    return convert(known.value(state, name or ""), _unit(state)).magnitude
