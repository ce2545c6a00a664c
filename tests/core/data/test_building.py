"""Which way a vehicle is built: groups with words, bare groups of older files, and what a vehicle's tags choose."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from assistant.adapters.library import Library
from assistant.core.data.building import Build, Fit, OneOf
from assistant.core.errors import DataError
from assistant.core.job.vehicle_values import check_tags

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
CAR = SHELF.vehicle("tarnwick-plover-16")


def test_a_bare_group_is_asked_for_in_the_words_of_its_tags() -> None:
    group = OneOf.of_tags(("lift:screw-jack", "lift:bottle"))
    assert group.question == "Which of these is it: lift screw jack, or lift bottle?"
    assert [option.phrases for option in group.options] == [("lift screw jack",), ("lift bottle",)]


def test_a_group_with_words_stands_for_the_bare_one_with_its_tags() -> None:
    older = JOB.model_copy(update={"one_of": (("filter:cartridge", "filter:spin-on"), ("axle:rigid", "axle:free"))})
    assert [group.tags for group in older.groups] == [
        ("filter:cartridge", "filter:spin-on"), ("tray:fitted",), ("axle:rigid", "axle:free")]  # fmt: skip


@pytest.mark.parametrize(
    ("tags", "fault"),
    [
        (("filter:cartridge",), ""),
        (("filter:spin-on", "tray:fitted"), ""),
        ((), "it needs exactly one of filter:cartridge, filter:spin-on"),
        (("filter:spin-on", "filter:cartridge"), "it needs exactly one of filter:cartridge, filter:spin-on"),
    ],
)
def test_a_vehicle_has_one_of_each_group_and_what_is_not_there_needs_no_tag(tags: tuple[str, ...], fault: str) -> None:
    car = CAR.model_copy(update={"tags": tags})
    if not fault:
        check_tags(JOB, car)
        return
    with pytest.raises(DataError, match=fault):
        check_tags(JOB, car)


def test_two_ways_with_one_tag_are_refused() -> None:
    with pytest.raises(ValidationError, match="the same tag"):
        OneOf(options=(Build(show="one"), Build(show="other")))


@pytest.mark.parametrize(
    ("tags", "fits"),
    [((), False), (("wheels",), True), (("wheels", "orange"), False), (("orange",), False), (("wheels", "red"), True)],
)
def test_a_job_is_for_vehicles_that_have_some_tags_and_never_others(tags: tuple[str, ...], fits: bool) -> None:
    job = JOB.model_copy(
        update={"built": (), "fits": (Fit(has=("wheels",), why="It needs wheels."), Fit(never=("orange",), why="No."))}
    )
    car = CAR.model_copy(update={"tags": tags})
    assert (not job.unfit(car)) == fits
    if not fits:
        with pytest.raises(DataError, match=f"oil-and-filter is not for tarnwick-plover-16. {job.unfit(car)}"):
            check_tags(job, car)


def test_a_fit_names_tags() -> None:
    with pytest.raises(ValidationError, match="a fit names tags"):
        Fit(why="Nothing is asked.")


@pytest.mark.parametrize("vehicle", ["quillbrook-sparling-650", "fernhollow-linnet-hybrid"])
def test_a_motorcycle_and_a_hybrid_are_refused_with_the_reason(vehicle: str) -> None:
    """By every job that is there: none was written for them."""
    for job in SHELF.jobs():
        with pytest.raises(DataError, match=f"{job.id} is not for {vehicle}. [A-Z].*[.]"):
            check_tags(job, SHELF.vehicle(vehicle))
