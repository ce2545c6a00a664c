"""Which of the values that the owner told hold: the word written last, whatever job it was said in."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from assistant.core.data.vehicle import Spec
from assistant.core.job import events as e
from assistant.core.job.told import told_in
from assistant.core.quantities.units import amount

pytestmark = pytest.mark.pure
NINE = datetime(2026, 3, 14, 9, tzinfo=UTC)


def row(job: str, number: int, place: int, event: e.Event, hour: float = 0) -> e.Recorded:
    """A fact with its place among those of all jobs."""
    return e.Recorded(job, number, NINE + timedelta(hours=hour), event, place)


def told(value: str, name: str = "torque", vehicle: str = "car") -> e.ValueTold:
    return e.ValueTold(vehicle, name, Spec(value=amount(value), source="me myself"))


GONE = e.ValueWithdrawn("car", "torque")


def held(*jobs: list[e.Recorded]) -> dict[tuple[str, str], str]:
    return {(one.vehicle, one.name): f"{one.spec.value.magnitude}" for one in told_in(jobs)}


def test_the_newest_word_counts_and_others_are_left_alone() -> None:
    first = [row("a", 1, 0, told("90 N·m")), row("a", 2, 0, told("4 L", "capacity")), row("a", 3, 1, e.HelpCalled())]
    assert held(first, [row("b", 1, 2, told("30 N·m"))]) == {("car", "torque"): "30", ("car", "capacity"): "4"}


def test_what_was_withdrawn_no_longer_holds_until_it_is_told_anew() -> None:
    assert held([row("a", 1, 0, told("90 N·m")), row("a", 2, 1, GONE)]) == {}
    assert held([row("a", 1, 0, told("90 N·m"))], [row("b", 1, 1, GONE)]) == {}
    again = [row("a", 1, 0, told("90 N·m")), row("a", 2, 1, GONE), row("a", 3, 2, told("30 N·m"))]
    assert held(again) == {("car", "torque"): "30"}


def test_two_vehicles_do_not_mix() -> None:
    both = [row("a", 1, 0, told("90 N·m")), row("a", 2, 0, told("40 N·m", vehicle="van")), row("a", 3, 1, GONE)]
    assert held(both) == {("van", "torque"): "40"}


def test_an_older_job_that_goes_on_later_has_the_newer_word() -> None:
    old = [row("a", 1, 0, told("90 N·m")), row("a", 2, 30, told("30 N·m"))]
    assert held(old, [row("b", 1, 20, told("60 N·m"))]) == {("car", "torque"): "30"}


def test_a_clock_that_was_set_back_changes_no_order() -> None:
    assert held([row("a", 1, 1, told("90 N·m"), 5), row("a", 2, 2, told("30 N·m"), 1)]) == {("car", "torque"): "30"}
    assert held([row("a", 1, 1, told("90 N·m"), 5)], [row("b", 1, 2, GONE, 1)]) == {}
