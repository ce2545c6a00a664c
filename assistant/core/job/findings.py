"""What a job found: each finding with its grade, and the verdict, which is the worst of them. Derived, never stored."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.core.data.gate import Option
from assistant.core.data.measured import RANKS, Grade
from assistant.core.data.measured import Finding as Place
from assistant.core.data.step import Step
from assistant.core.job.bands import bands_of, of_reading
from assistant.core.job.state import State

VERDICT = "verdict"
"""The name by which a text speaks of the verdict."""


@dataclass(frozen=True, slots=True)
class Found:
    """One finding: where, what, and how good that is."""

    place: str
    what: str
    grade: Grade


def findings(state: State) -> tuple[Found, ...]:
    """Return what was found so far, in the order of the job."""
    if "findings" not in state.derived:
        state.derived["findings"] = tuple(_findings(state))
    known: tuple[Found, ...] = state.derived["findings"]
    return known


def _findings(state: State) -> Iterator[Found]:
    passed = {*state.path}
    for step in state.procedure.steps:
        if step.finding and step.id in passed and (grade := _grade(state, step, step.finding)):
            yield Found(step.finding.place, step.finding.what, grade)
    for gate in state.procedure.gates:
        for ask in gate.asks:
            answer = state.shown.get((gate.id, ask.id))
            if ask.finding and (grade := _of_option(ask.options, answer, shown=True)):
                yield Found(ask.finding.place, ask.finding.what, grade)


def _grade(state: State, step: Step, place: Place) -> Grade | None:
    if place.by and place.by in state.procedure.computed:
        band = bands_of(state).get(place.by)
        return band.grade if band else None
    if step.choice and place.by in (None, step.choice.name):
        return _of_option(step.choice.options, dict(state.choices).get(step.choice.name))
    if step.reading and place.by in (None, step.reading.name):
        taken = next((one for one in reversed(state.readings) if one.step == step.id), None)
        band = of_reading(state, taken) if taken else None
        return band.grade if band else None
    return _elsewhere(state, place.by or "")


def _elsewhere(state: State, name: str) -> Grade | None:
    """Return the grade of what was read off or chosen at another step."""
    if band := bands_of(state).get(name):
        return band.grade
    chosen = dict(state.choices).get(name)
    choices = (step.choice for step in state.procedure.steps if step.choice and step.choice.name == name)
    grades = (_of_option(choice.options, chosen) for choice in choices)
    return next((grade for grade in grades if grade), None)


def _of_option(options: tuple[Option, ...], answer: str | None, *, shown: bool = False) -> Grade | None:
    """Return the grade of an option by its id, or by how it is shown."""
    return next((one.grade for one in options if answer == (one.show if shown else one.id)), None)


def worst(state: State) -> Grade | None:
    """Return the worst grade of all that was found; None where nothing was."""
    return max((found.grade for found in findings(state)), key=RANKS.index, default=None)


def verdict(state: State) -> str:
    """Return the worst of what was found in words, with what it is; in the job's own words where it has them."""
    grade = worst(state)
    if grade is None:
        return "nothing is judged yet"
    words = state.procedure.verdicts.get(grade) or _WORDS[grade]
    if grade is Grade.GOOD:
        return words
    those = ", ".join(f"{found.what}, {found.place}" for found in findings(state) if found.grade is grade)
    return f"{words}: {those}"


_WORDS = {Grade.GOOD: "all is good", Grade.SOON: "to be done soon", Grade.STOP: "stop, not safe as it is"}
"""What a grade means where the job has no words of its own."""
