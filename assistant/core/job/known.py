"""What follows from a state: its tags, the values that a step speaks of, what is missing, what is not sealed.

A value is the vehicle's own, the owner's, or computed here by name from those; it is never guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from assistant.core.compute import marks
from assistant.core.compute.base.result import Answer
from assistant.core.compute.base.spoken import say_also
from assistant.core.data.base import names_in
from assistant.core.data.gate import Ask
from assistant.core.data.measured import Fluid
from assistant.core.data.part import Part
from assistant.core.data.step import Reading, Step
from assistant.core.errors import ReadingError
from assistant.core.job import worked
from assistant.core.job.bands import amount_named, bands_of, is_named, names_in_bounds
from assistant.core.job.findings import VERDICT
from assistant.core.job.state import State, TakenReading
from assistant.core.job.worked import Missing, needs, reads
from assistant.core.quantities.owner_units import owner_unit
from assistant.core.quantities.units import Amount, Kind, amount, convert

__all__ = ["Missing", "needs", "reads"]


def tags(state: State) -> frozenset[str]:
    """Return what holds now: the vehicle's tags, what may hold of it, `open:part` of each part that is open,
    `choice:option` of each choice, `name:band` of what was read off or worked out, and of each fluid `low`, `ok` or
    `over` by the last reading of its marks."""
    if "tags" not in state.derived:
        state.derived["tags"] = _tags(state)
    known: frozenset[str] = state.derived["tags"]
    return known


def _tags(state: State) -> frozenset[str]:
    chosen = (f"{name}:{option}" for name, option in dict(state.choices).items())
    levels = ((name, state.level(name)) for name in state.procedure.fluids)
    stands = (f"{name}:{marks.status(level)}" for name, level in levels if level)
    judged = (f"{name}:{band.id}" for name, band in bands_of(state).items())
    still_open = (f"open:{part}" for part in state.ledger.parts)
    return frozenset({*state.vehicle.tags, *state.possible, *still_open, *chosen, *stands, *judged})


def value(state: State, name: str) -> Amount:
    """Return a value of the vehicle, one that is computed, or a reading; `Missing` where there is none."""
    if name in state.procedure.computed and (lacking := missing_of(state, name)):
        raise Missing(lacking)
    return amount_named(state, name)


def words_or_amount(state: State, name: str) -> Amount | str:
    """Return the same, and words where those are what is computed."""
    if is_words(state, name):
        return worked.value_of(state, name)
    return value(state, name)


def is_words(state: State, name: str) -> bool:
    """Return whether a name stands for a computed value that is words: a day, an order, whether something may be."""
    if name not in state.procedure.computed:
        return False
    try:
        return isinstance(worked.value_of(state, name), str)
    except (Missing, ReadingError):
        return False


def named_or_written(state: State, bound: str) -> Amount:
    """Return a bound of an ask: a value by its name, or an amount as it is written."""
    return value(state, bound) if is_named(state, bound) else amount(bound)


def source(state: State, name: str) -> str:
    """Return where a value comes from, for the ear."""
    if name in state.procedure.computed:
        try:
            value(state, name)
            return _grounds(worked.answer_of(state, name))
        except Missing:
            return "Nobody has told me."
    spec = state.spec(name)
    return f"It is {spec.source}." if spec else "Nobody has told me."


def _grounds(found: Answer) -> str:
    """Return what a computed value rests on: why, what is assumed, and who says so. In words: no figure is spoken."""
    assumed = next((text for text in found.assumptions if _in_words(text)), "")
    words = assumed.replace(" (common practice, no source)", ", which is common practice")
    told = found.source if _in_words(found.source) else ""
    sure = say_also(found.also, dict(found.more)) if "±" in found.also else ""
    return " ".join(filter(None, (found.because, sure, words and f"I assume: {words}.", told and f"Source: {told}.")))


def _in_words(text: str) -> bool:
    return not any(character.isdigit() for character in text)


def names_of(state: State, step: Step) -> tuple[str, ...]:
    """Return the names of all values that a step speaks of or checks against."""
    names = [name for text in step.texts() for name in names_in(text) if not is_note(state, name)]
    if step.tighten:
        names += state.procedure.part(step.tighten.part).names
    if step.reading:
        names += names_in_bounds(state, step.reading)
        names += _filled_by(state, step.reading)
    for fluid in fluids_at(state, step):  # how much is enough has to be known
        names = [*_amounts_of(fluid), *names]  # what the step speaks of is last
    asks = [ask for gate in step.needs for ask in state.procedure.gate(gate).asks if ask.applies(tags(state))]
    for ask in asks:
        names += [name for name in names_in(ask.ask) if not is_note(state, name)]
        names += [bound for bound in _bounds(ask) if is_named(state, bound)]
    return tuple(dict.fromkeys(name for name in names if name != VERDICT))


def _filled_by(state: State, reading: Reading) -> tuple[str, ...]:
    """Return the names of what tells how much to pour in."""
    fluid = state.procedure.fluids.get(reading.of or "")
    name = {"capacity": fluid.first, "mark": fluid.room}.get(reading.fills or "") if fluid else None
    return (name,) if name else ()


def _bounds(ask: Ask) -> Iterator[str]:
    return (bound for bound in (ask.least, ask.most, ask.equal) if isinstance(bound, str))


def _amounts_of(fluid: Fluid) -> tuple[str, ...]:
    return tuple(name for name in (fluid.least, fluid.capacity, fluid.span) if name)


def is_note(state: State, name: str) -> bool:
    """Return whether a name in a text stands for words: a note of the vehicle, or one that its file lacks."""
    return name in state.vehicle.notes or not (is_named(state, name) or name == VERDICT)


def fluids_at(state: State, step: Step) -> tuple[Fluid, ...]:
    """Return the fluids of which it has to be known at a step how much is enough: it tells of one, or needs them."""
    fluids, reading = state.procedure.fluids, step.reading
    needed = [name for name, fluid in fluids.items() if set(fluid.needed_by).intersection(step.acts)]
    own = [reading.of] if reading and reading.of in fluids else []
    return tuple(fluids[name] for name in dict.fromkeys((*needed, *own)))


def missing(state: State, step: Step) -> str | None:
    """Return the name of the first value of the vehicle that a step needs and nobody gave; None where all are there, or
    the owner does not know them."""
    lacking = (_asked_for(state, name) for name in names_of(state, step))
    return next((name for name in lacking if name in state.procedure.values), None)


def _asked_for(state: State, name: str) -> str | None:
    lacking = (needed for needed in needs(state, name) if not state.spec(needed) and needed not in state.unknown)
    return next(lacking, None) or _at_odds(state, name)


def missing_of(state: State, name: str) -> str | None:
    """Return what a value of that name, computed or not, lacks from the vehicle; None where nothing."""
    lacking = next((needed for needed in needs(state, name) if not state.spec(needed)), None)
    return lacking or _at_odds(state, name)


def _at_odds(state: State, name: str) -> str | None:
    """Return which of the values that one is worked out from has to be told anew, because they can't all be right."""
    if name not in state.procedure.computed:
        return None
    key = ("at odds", name)
    if key not in state.worked:
        state.worked[key] = worked.at_odds(state, needs(state, name))
    found: str | None = state.worked[key]
    return found


def unread(state: State, step: Step) -> bool:
    """Return whether a step speaks of something that was worked out from a reading which no longer counts."""
    computed = (name for name in names_of(state, step) if name in state.procedure.computed)
    for name in computed:
        if reads(state, name) and not missing_of(state, name) and not is_words(state, name):
            try:
                value(state, name)
            except Missing:
                return True
    return False


def poured(state: State, fluid: str) -> Amount:
    """Return what was poured in since a fluid was drained, less what came out, in the owner's unit."""
    return sum_of(state, (reading for reading in state.readings if reading.of == fluid))


def sum_of(state: State, readings: Iterable[TakenReading]) -> Amount:
    """Return what these readings say was poured in, less what came out, in the owner's unit."""
    unit = owner_unit(Kind.VOLUME, state.vehicle.units)
    amounts = [(one, one.value) for one in readings if isinstance(one.value, Amount)]
    signed = [(1 if one.adds else -1) * convert(amount, unit).magnitude for one, amount in amounts if _counts(one)]
    return Amount(sum(signed, Decimal(0)), unit, Kind.VOLUME)


def _counts(reading: TakenReading) -> bool:
    return reading.adds or reading.removes


def bolt(state: State) -> Part | None:
    """Return the part that the present step tightens, else that of the next one: what a person at the plug means."""
    steps = state.procedure.steps
    index = next(index for index, step in enumerate(steps) if step.id == state.step)
    now = tags(state)
    ahead = (step.tighten for step in steps[index:] if step.tighten and step.applies(now))
    found = next(ahead, None)
    return state.procedure.part(found.part) if found else None
