"""What follows from a state: its tags, the values that a step speaks of, what is missing, what is not sealed.

A value is the vehicle's own, the owner's, or computed here by name from those; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from assistant.core.compute.base.result import Result
from assistant.core.compute.due import intervals
from assistant.core.compute.oil import drain_pan, fill
from assistant.core.compute.oil import level as oil_level
from assistant.core.compute.raising import lifting
from assistant.core.data.base import names_in
from assistant.core.data.car import Act
from assistant.core.data.procedure import Step
from assistant.core.errors import ReadingError
from assistant.core.job.state import ReadingFact, State
from assistant.core.quantities.units import Amount, Kind, Level, amount, convert, owner_unit

LEVEL = "oil-level"
"""Name of the reading that says how full the engine is."""
NEXT_DATE = "next-date"
"""Name by which a text speaks of the day on which the job is next due."""


@dataclass(frozen=True, slots=True)
class Computed:
    """A value worked out from others: which of the vehicle's values it needs, and how."""

    needs: tuple[str, ...]
    work: Callable[[State], Result]
    reads: bool = False
    """Whether it also needs what was read off in the job."""


class Missing(Exception):  # noqa: N818 — it is answered by asking, not an error
    """A value that neither the vehicle's file nor the owner gave, or from which, beside the others, nothing follows."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def tags(state: State) -> frozenset[str]:
    """Return what holds now: the vehicle's tags, what may hold of it, `open:part` of each part that is open,
    `choice:option` of each choice, `oil:low|ok|over` of the last reading."""
    if "tags" not in state.derived:
        state.derived["tags"] = _tags(state)
    known: frozenset[str] = state.derived["tags"]
    return known


def _tags(state: State) -> frozenset[str]:
    chosen = {f"{name}:{option}" for name, option in dict(state.choices).items()}
    reading = state.last(LEVEL)
    level = {f"oil:{oil_level.status(reading.value)}"} if reading and isinstance(reading.value, Level) else set()
    still_open = {f"open:{part}" for part in state.ledger.parts}
    return frozenset({*state.vehicle.tags, *state.possible, *still_open, *chosen, *level})


def value(state: State, name: str) -> Amount:
    """Return a value of the vehicle, or one that is computed; `Missing` where the vehicle has none."""
    if name in COMPUTED:
        return result(state, name).value
    if spec := state.spec(name):
        return spec.value
    raise Missing(name)


def named_or_written(state: State, bound: str) -> Amount:
    """Return a bound of an ask: a value by its name, or an amount as it is written."""
    named = bound in state.procedure.values or bound in COMPUTED
    return value(state, bound) if named else amount(bound)


def result(state: State, name: str) -> Result:
    """Return a computed value with what it rests on; `Missing` where that is missing, or can't all be right."""
    if lacking := missing_of(state, name):
        raise Missing(lacking)
    return COMPUTED[name].work(state)


def source(state: State, name: str) -> str:
    """Return where a value comes from, for the ear."""
    if name in COMPUTED:
        try:
            return _grounds(result(state, name))
        except Missing:
            return "Nobody has told me."
    spec = state.spec(name)
    return f"It is {spec.source}." if spec else "Nobody has told me."


def _grounds(found: Result) -> str:
    """Return what a computed value rests on: why, what is assumed, and who says so. In words: no figure is spoken."""
    assumed = next((text for text in found.assumptions if _in_words(text)), "")
    words = assumed.replace(" (common practice, no source)", ", which is common practice")
    told = found.source if _in_words(found.source) else ""
    return " ".join(filter(None, (found.because, words and f"I assume: {words}.", told and f"Source: {told}.")))


def _in_words(text: str) -> bool:
    return not any(character.isdigit() for character in text)


def names_of(state: State, step: Step) -> tuple[str, ...]:
    """Return the names of all values that a step speaks of or checks against."""
    names = [name for text in step.texts() for name in names_in(text) if not is_note(state, name)]
    if step.tighten and (torque := state.procedure.part(step.tighten.part).torque):
        names.append(torque)
    if step.reading and step.reading.fills:
        names += {"capacity": ("first-fill",), "mark": ("top-up",), "loss": ()}[step.reading.fills]
    if state.procedure.fluid and _is_about_fluid(step):  # how much is enough has to be known
        fluid = state.procedure.fluid
        names = ["safe-minimum", fluid.capacity, fluid.span, *names]  # what the step speaks of is last
    asks = [ask for gate in step.needs for ask in state.procedure.gate(gate).asks if ask.applies(tags(state))]
    for ask in asks:
        bounds = [bound for bound in (ask.least, ask.most) if isinstance(bound, str) and not is_note(state, bound)]
        names += [*(name for name in names_in(ask.ask) if not is_note(state, name)), *bounds]
    return tuple(dict.fromkeys(names))


def is_note(state: State, name: str) -> bool:
    """Return whether a name in a text stands for words: a note of the vehicle, or one that its file lacks."""
    job = state.procedure
    return name in state.vehicle.notes or not (name in job.values or name in COMPUTED or name == NEXT_DATE)


def _is_about_fluid(step: Step) -> bool:
    """Return whether a step runs the engine, or tells how much fluid there is."""
    reading = step.reading
    return Act.RUNNING in step.acts or bool(reading and (reading.adds or reading.removes or reading.kind == "level"))


def next_day(state: State) -> date | None:
    """Return the day on which the job is next due by its service plan; None where that has none."""
    spec = state.spec("interval-time")
    try:
        return intervals.due_date(state.opened_at.date(), spec.value) if spec else None
    except ReadingError:  # recorded before such a time was refused: the job must still be able to speak
        return None


def missing(state: State, step: Step) -> str | None:
    """Return the name of the first value of the vehicle that a step needs and nobody gave; None where all are there."""
    lacking = (missing_of(state, name) for name in names_of(state, step))
    return next((name for name in lacking if name in state.procedure.values), None)


def missing_of(state: State, name: str) -> str | None:
    """Return what a value of that name, computed or not, lacks from the vehicle; None where nothing."""
    lacking = next((needed for needed in needs(state, name) if not state.spec(needed)), None)
    return lacking or (at_odds(state, name) if name in COMPUTED else None)


def at_odds(state: State, name: str) -> str | None:
    """Return which of the values that one is worked out from has to be told anew, because they can't all be right.

    None where nothing speaks against them. Such values are refused together (`readings.check_together`); a job that was
    begun before that was so has to go on.
    """
    known = needs(state, name)
    for other, computed in COMPUTED.items():
        needed = needs(state, other)
        if computed.reads or not set(needed).issubset(known):
            continue
        try:
            computed.work(state)
        except ReadingError:
            told = [one for one in state.told if one in needed and one not in state.vehicle.values]
            return (told or [*needed])[-1]
    return None


def unread(state: State, step: Step) -> bool:
    """Return whether a step speaks of something that was worked out from a reading which no longer counts."""
    try:
        for name in names_of(state, step):
            if name in COMPUTED and not missing_of(state, name):
                result(state, name)
    except Missing:
        return True
    return False


def needs(state: State, name: str) -> tuple[str, ...]:
    """Return the names of the vehicle's values that a value is worked out from; its own where it is one of them."""
    if name == NEXT_DATE:
        return ("interval-time",)
    if name not in COMPUTED:
        return (name,)
    fluid = state.procedure.fluid
    own = dict(zip(_OIL, (fluid.capacity, fluid.span), strict=True)) if fluid else {}
    return tuple(own.get(needed, needed) for needed in COMPUTED[name].needs)


def poured(state: State) -> Amount:
    """Return what was poured in since the fluid was drained, less what came out, in the owner's unit."""
    return sum_of(state, state.readings)


def sum_of(state: State, readings: Iterable[ReadingFact]) -> Amount:
    """Return what these readings say was poured in, less what came out, in the owner's unit."""
    unit = owner_unit(Kind.VOLUME, state.vehicle.units)
    amounts = [(fact, fact.value) for fact in readings if isinstance(fact.value, Amount)]
    signed = [(1 if fact.adds else -1) * convert(amount, unit).magnitude for fact, amount in amounts if _counts(fact)]
    return Amount(sum(signed, Decimal(0)), unit, Kind.VOLUME)


def _counts(fact: ReadingFact) -> bool:
    return fact.adds or fact.removes


def _value_named(state: State, name: str) -> Amount:
    found = state.spec(name)
    if not found:
        raise Missing(name)
    return found.value


def _capacity(state: State) -> Amount:
    fluid = state.procedure.fluid
    return _value_named(state, fluid.capacity if fluid else "capacity")


def _span(state: State) -> Amount:
    fluid = state.procedure.fluid
    return _value_named(state, fluid.span if fluid else "span")


def _level(state: State) -> Level:
    reading = state.last(LEVEL)
    if not reading or not isinstance(reading.value, Level):
        raise Missing(LEVEL)
    return reading.value


def _first_fill(state: State) -> Result:
    return fill.first_fill(_capacity(state), _span(state), fill.graduation(str(state.vehicle.units)))


def _top_up(state: State) -> Result:
    return oil_level.top_up(_level(state), _span(state), fill.graduation(str(state.vehicle.units)))


def _stand_rating(state: State) -> Result:
    return lifting.stand_rating(_value_named(state, "mass"))


def _next_distance(state: State) -> Result:
    odometer = state.last("odometer")
    if not odometer or not isinstance(odometer.value, Amount):
        raise Missing("odometer")
    return intervals.due_distance(odometer.value, _value_named(state, "interval-distance"))


_OIL = ("oil-capacity", "dipstick-span")

COMPUTED: dict[str, Computed] = {
    "first-fill": Computed(_OIL, _first_fill),
    "safe-minimum": Computed(_OIL, lambda state: fill.safe_minimum(_capacity(state), _span(state))),
    "top-up": Computed(_OIL, _top_up, reads=True),
    "draw-off": Computed(_OIL, lambda state: oil_level.draw_off(_level(state), _span(state)), reads=True),
    "pan-size": Computed(("oil-capacity",), lambda state: drain_pan.least_size(_capacity(state))),
    "stand-rating": Computed(("mass",), _stand_rating),
    "next-distance": Computed(("interval-distance",), _next_distance, reads=True),
}
"""The computed values that a procedure may name."""
