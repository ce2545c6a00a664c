"""What the file of a vehicle may leave out is asked for, or done without in words; no job ends over it."""

from __future__ import annotations

import random

import pytest

from assistant.adapters.library import Library
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Note, Vehicle
from assistant.core.job import events as e
from assistant.core.job.question import question
from assistant.core.job.state import fold
from assistant.core.proof.explore import walk
from assistant.core.reply.answers import present
from tests.chance import turns
from tests.fitting import vehicles_for
from tests.straight import AT, MANY, sound, straight_on

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
CARS = vehicles_for(JOB)
LEFT_OUT = [
    (car, field, name) for car in CARS for field in ("values", "notes") for name in getattr(car, field)
    if name in getattr(JOB, field)
]  # fmt: skip
RANDOM_SUBSETS = 6


def without(car: Vehicle, *names: str) -> Vehicle:
    fields = {field: {name: one for name, one in getattr(car, field).items() if name not in names}
              for field in ("values", "notes")}  # fmt: skip
    return car.model_copy(update=fields)


def amounts(car: Vehicle) -> dict:
    every = {name: spec.value for one in CARS for name, spec in one.values.items()}
    return every | {name: spec.value for name, spec in car.values.items()}


def done(procedure: Procedure, car: Vehicle, lacking: Vehicle) -> list[str]:
    said = []
    for state, words in straight_on(procedure, lacking, amounts(car)):
        sound(state, words)
        said.append(words)
    return said


@pytest.mark.parametrize(("car", "field", "name"), LEFT_OUT, ids=[f"{car.id}-{name}" for car, _, name in LEFT_OUT])
def test_a_job_without_one_value_or_note_comes_to_its_end(car: Vehicle, field: str, name: str) -> None:
    said = " ".join(done(JOB, car, without(car, name)))
    wanted = JOB.values[name].name if field == "values" else JOB.notes[name].lacks
    assert wanted in said
    assert ("Your file does not say" in said) == (field == "notes")


@pytest.mark.parametrize("car", CARS, ids=lambda car: car.id)
def test_a_job_without_many_of_them_comes_to_its_end(car: Vehicle) -> None:
    chance, every = random.Random(7), [*car.values, *car.notes]
    for _ in range(RANDOM_SUBSETS):
        done(JOB, car, without(car, *chance.sample(every, chance.randint(2, len(every)))))
    assert len(done(JOB, car, without(car, *every))) < MANY


@pytest.mark.parametrize("car", CARS, ids=lambda car: car.id)
@pytest.mark.parametrize("lacks", ["notes", "all"])
def test_talk_by_chance_without_them_breaks_no_promise(car: Vehicle, lacks: str) -> None:
    names = [*car.notes, *(car.values if lacks == "all" else ())]
    report = walk(JOB, without(car, *names), turns(JOB, 11, 1_000))
    assert report.broken == []
    assert report.states > 100


def test_several_notes_are_named_in_one_sentence() -> None:
    said = " ".join(done(JOB, CARS[0], without(CARS[0], "plug-tool", "filter-tool")))
    assert "Lay out the tool for the drain plug, the tool for the filter, a torque wrench, and a lamp." in said
    assert "Your file does not say which tool fits the drain plug, or which tool fits the filter." in said


def test_an_empty_note_is_none() -> None:
    empty = CARS[0].notes | {"plug-tool": Note(say=" ", source="nobody")}
    said = " ".join(done(JOB, CARS[0], CARS[0].model_copy(update={"notes": empty})))
    assert "Lay out the tool for the drain plug" in said
    assert "Your file does not say which tool fits the drain plug. The service manual does." in said


def test_a_job_of_an_older_journal_goes_on_without_a_note() -> None:
    older = JOB.model_copy(update={"notes": {}})  # as a version wrote it that knew no way to do without
    facts = [e.JobOpened(older, without(CARS[0], "plug-tool")), e.StepEntered("tools")]
    read = [e.decode(*e.encode(fact)) for fact in facts]
    state = fold([e.Recorded("job", number, AT, fact) for number, fact in enumerate(read, 1)])
    assert "Lay out the plug tool" in present(state)
    assert str(question(state)) == "next"
    done(older, CARS[0], without(CARS[0], *CARS[0].notes))
