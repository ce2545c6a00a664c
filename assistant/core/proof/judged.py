"""What a job promises of what it measures, checked by bookkeeping of its own: each value lies in its band, and each
finding counts in the verdict. Kept from the facts alone, as the rest of the book (`promises.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from assistant.core.data.gate import Option
from assistant.core.data.measured import Band, Bound, Grade
from assistant.core.data.step import Reading
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.bands import is_named
from assistant.core.job.findings import worst
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, amount, convert


@dataclass(frozen=True, slots=True)
class Judged:
    """What was read off and chosen, each with its step and its name; the newest last."""

    readings: tuple[tuple[str, str, Amount], ...] = ()
    choices: tuple[tuple[str, str, str], ...] = ()


def judged(state: State, book: Judged, event: e.Event) -> Judged:
    """Return the book after one more fact, which meets the job in a state."""
    match event:
        case e.ReadingTaken(step, name, value) if isinstance(value, Amount):
            return replace(book, readings=(*book.readings, (step, name, value)))
        case e.ReadingWithdrawn(step, name):
            return replace(book, readings=_without_last(book.readings, (step, name)))
        case e.Drained(fluid):
            kept = tuple(one for one in book.readings if _fluid_of(state, one[0]) != fluid)
            return replace(book, readings=kept)
        case e.ChoiceMade(name, option):
            return replace(book, choices=(*book.choices, (state.step, name, option)))
        case e.ChoiceWithdrawn(name):
            places = [place for place, one in enumerate(book.choices) if one[1] == name]
            last = places[-1] if places else len(book.choices)
            return replace(book, choices=(*book.choices[:last], *book.choices[last + 1 :]))
        case _:
            return book


def _without_last(
    noted: tuple[tuple[str, str, Amount], ...], key: tuple[str, str]
) -> tuple[tuple[str, str, Amount], ...]:
    places = [place for place, one in enumerate(noted) if one[:2] == key]
    return (*noted[: places[-1]], *noted[places[-1] + 1 :]) if places else noted


def _fluid_of(state: State, step: str) -> str | None:
    reading = state.procedure.step(step).reading
    return reading.of if reading else None


def misjudged(state: State, book: Judged) -> Iterator[str]:
    """Yield each value that does not lie in its band, or in two, and a verdict that is better than what was found."""
    tags = known.tags(state)
    for step, name, value in {name: (step, name, value) for step, name, value in book.readings}.values():
        reading = _reading(state, step, name)
        if reading and reading.bands:
            right = _band(state, reading, value)
            own = {f"{name}:{right.id}"} if right else set()
            if tags.intersection(f"{name}:{band.id}" for band in reading.bands) != own:
                yield f"{name} of {value.magnitude} {value.unit} is not judged as {right.id if right else 'nothing'}"
    if (grade := _worst(state, book)) and (told := worst(state)) and [*Grade].index(told) < [*Grade].index(grade):
        yield f"the verdict is {told} where {grade} was found"
    elif grade and not worst(state):
        yield f"the verdict is none where {grade} was found"


def _reading(state: State, step: str, name: str) -> Reading | None:
    reading = state.procedure.step(step).reading
    return reading if reading and reading.name == name else None


def _band(state: State, reading: Reading, value: Amount) -> Band | None:
    for band in reading.bands:
        low, high = (_limit(state, bound, value) for bound in (band.above, band.below))
        if (low is None and band.above is not None) or (high is None and band.below is not None):
            return None  # a limit that nobody knows
        here = Fraction(value.magnitude)
        if (low is None or here > low) and (high is None or here < high):
            return band
    return None


def _limit(state: State, bound: Bound | None, value: Amount) -> Fraction | None:
    if bound is None:
        return None
    if isinstance(bound, int):
        return Fraction(bound)
    try:
        found = known.value(state, bound) if is_named(state, bound) else amount(bound)
    except known.Missing:
        return None
    return Fraction(convert(found, value.unit).magnitude)


def _worst(state: State, book: Judged) -> Grade | None:
    """Return the worst of what was read off and chosen at steps that find something, as far as they were passed."""
    graded: dict[str, Grade | None] = {}
    for step, name, value in book.readings:
        reading = _reading(state, step, name)
        band = _band(state, reading, value) if reading else None
        graded[step] = band.grade if band else None
    for step, _, option in book.choices:
        choice = state.procedure.step(step).choice
        graded[step] = _grade(choice.options if choice else (), option)
    steps = (state.procedure.step(name) for name in state.path)
    found = [graded[step.id] for step in steps if step.finding and not step.finding.by and graded.get(step.id)]
    return max((grade for grade in found if grade), key=[*Grade].index, default=None)


def _grade(options: tuple[Option, ...], option: str) -> Grade | None:
    return next((one.grade for one in options if one.id == option), None)
