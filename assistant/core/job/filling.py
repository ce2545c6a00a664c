"""How much fluid is in, how much may still be poured in, and how much is too much. Worked out from the facts alone.

The dipstick goes before the sum of what was poured: it shows what is there. What came out, drawn off or lost, counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.core.compute.oil import fill
from assistant.core.compute.oil import level as oil_level
from assistant.core.data.procedure import Reading, Step
from assistant.core.job import known as facts
from assistant.core.job.state import ReadingFact, State
from assistant.core.quantities.units import Amount, Kind, Level, convert, owner_unit

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
    except facts.Missing:
        return None


def _fill_of(state: State, reading: Reading) -> Fill:
    match reading.fills:
        case "capacity":
            return _by_capacity(state)
        case "mark":
            return _by_mark(state)
        case _:
            return _by_loss(state)


def draws_off(state: State, step: Step) -> bool:
    """Return whether so much is in that some has to be drawn off before a step that pours in can end."""
    filled = fill_of(state, step)
    return filled is not None and filled.surplus.magnitude > 0


def _by_capacity(state: State) -> Fill:
    unit = _unit(state)
    total = facts.poured(state).magnitude
    least, most = (convert(facts.value(state, name), unit).magnitude for name in ("safe-minimum", _capacity(state)))
    target = convert(facts.value(state, "first-fill"), unit).magnitude
    left = Amount(max(NOTHING, target - total), unit, Kind.VOLUME)
    wanted = convert(fill.round_down(left, fill.graduation(str(state.vehicle.units))), unit).magnitude
    lacking = max(NOTHING, least - total)
    return _fill(unit, total, lacking, max(NOTHING, total - most), max(wanted, lacking))


def _by_mark(state: State) -> Fill:
    unit = _unit(state)
    total = since_read(state).magnitude
    room = convert(facts.value(state, "top-up"), unit).magnitude
    return _fill(unit, total, NOTHING, max(NOTHING, total - room), max(NOTHING, room - total))


def _by_loss(state: State) -> Fill:
    """What came out since the level was last read is poured in again; nothing, where nothing did."""
    unit, since = _unit(state), since_read(state).magnitude
    lost = max(NOTHING, -since)
    return _fill(unit, max(NOTHING, since), lost, max(NOTHING, since), lost)


def _fill(unit: str, *amounts: Decimal) -> Fill:
    total, lacking, surplus, wanted = (Amount(each, unit, Kind.VOLUME) for each in amounts)
    return Fill(total, lacking, surplus, wanted)


def since_read(state: State) -> Amount:
    """Return what was poured in since the level was last read, less what came out, in the owner's unit."""
    return facts.sum_of(state, _since_level(state))


def _since_level(state: State) -> tuple[ReadingFact, ...]:
    places = [place for place, fact in enumerate(state.readings) if isinstance(fact.value, Level)]
    return state.readings[places[-1] + 1 :] if places else state.readings


def unfit(state: State) -> str:
    """Return why the engine must not run with what is in it: too little, or too much; empty where it may."""
    fluid = state.procedure.fluid
    if not fluid or not state.drained or facts.missing_of(state, "safe-minimum"):
        return ""  # what nobody told is asked for first
    too_much, too_little = bounds_broken(state)
    if too_much:
        return f"The engine must not run yet. There is too much {fluid.name} in it. Say: go back one step."
    if too_little:
        return f"The engine must not run yet. There is too little {fluid.name} in it. Say: go back one step."
    return ""


def bounds_broken(state: State) -> tuple[bool, bool]:
    """Return whether there is too much fluid in the engine to run it, and whether too little."""
    reading = state.last(facts.LEVEL)
    if reading and isinstance(reading.value, Level):
        return _by_level(state, reading.value)
    unit, total = _unit(state), facts.poured(state).magnitude
    least, most = (convert(facts.value(state, name), unit).magnitude for name in ("safe-minimum", _capacity(state)))
    return total > most, total < least


def _by_level(state: State, level: Level) -> tuple[bool, bool]:
    """Return the same by the mark: what was poured since it was read may fill it up, and no more."""
    span = convert(facts.value(state, _span(state)), _unit(state)).magnitude
    since = since_read(state).magnitude / span
    status = oil_level.status(level)
    room = convert(facts.value(state, "top-up"), _unit(state)).magnitude / span if status != "over" else NOTHING
    too_much = since > room if status != "over" else level.highest + since > 1 + oil_level.FULL_TOLERANCE
    return too_much, level.highest + since < 0


def most_to_pour(state: State, reading: Reading) -> Amount:
    """Return the most that is believed to have been poured in at once, or to have come out [volume].

    More than fits can really be poured in, and has to be told; twice the capacity is a slip of the tongue. Common
    practice, no source. What came out can't be more than there was.
    """
    unit = _unit(state)
    whole = convert(facts.value(state, _capacity(state)), unit).magnitude
    if reading.removes:
        return Amount(max(whole, facts.poured(state).magnitude), unit, Kind.VOLUME)
    return Amount(2 * whole, unit, Kind.VOLUME)


def _unit(state: State) -> str:
    return owner_unit(Kind.VOLUME, state.vehicle.units)


def _capacity(state: State) -> str:
    return state.procedure.fluid.capacity if state.procedure.fluid else "capacity"


def _span(state: State) -> str:
    return state.procedure.fluid.span if state.procedure.fluid else "span"
