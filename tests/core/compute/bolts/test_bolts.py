"""Bolts, wrenches and orders: what must hold whatever the numbers."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.compute.bolts.crow_foot import wrench_setting
from assistant.core.compute.bolts.stress import greatest_torque, plausible, preload, torque_for, usual_friction
from assistant.core.compute.bolts.threads import read_thread
from assistant.core.compute.bolts.tightening import cover_order, ring_order
from assistant.core.compute.bolts.usual_torques import spark_plug
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

TABLES = Library().tables()
THREADS, CLASSES, FACTORS = (TABLES[name] for name in ("threads", "property-classes", "nut-factors"))
USUAL = usual_friction()
numbers = st.decimals("1", "400", places=1)


@pytest.mark.parametrize("text", ["M14x1.5", "M14 by one point five", "m14 × 1.5", "M fourteen by one point five"])
def test_a_thread_is_read_however_it_is_said(text: str) -> None:
    thread = read_thread(text, THREADS)
    assert (thread.diameter, thread.pitch) == (14, 1.5)


@pytest.mark.parametrize("text", ["", "14", "M1", "M99", "M14x9", "M13", "three eighths", "M14 by"])
def test_what_is_no_thread_is_refused(text: str) -> None:
    with pytest.raises(ReadingError):
        read_thread(text, THREADS)


@pytest.mark.parametrize(
    ("torque", "hint"),
    [("900 N·m", "lbf·in"), ("250 N·m", "lbf·in"), ("2 N·m", "kgf·m"), ("30 kgf·m", "N·m")],
)
def test_a_torque_in_the_wrong_unit_is_refused_with_the_unit_that_fits(torque: str, hint: str) -> None:
    with pytest.raises(ReadingError, match=hint) as raised:
        plausible(amount(torque), "M14x1.5", "8.8", USUAL, THREADS, CLASSES)
    assert len(raised.value.say.split()) <= 15


@given(numbers, numbers, st.sampled_from(["dry", "zinc-plated", "oiled"]))
def test_force_and_torque_go_there_and_back(number: Decimal, diameter: Decimal, state: str) -> None:
    torque = Amount(number, "newton_metre", Kind.TORQUE)
    force = preload(torque, "M10", state, THREADS, FACTORS).value
    back = torque_for(force, "M10", state, THREADS, FACTORS).value
    assert isclose(convert(back, "newton_metre").magnitude, number, rel_tol=1e-9)


def test_more_friction_leaves_less_force_for_more_torque() -> None:
    found = [greatest_torque("M12", "10.9", amount(mu, Kind.COUNT), THREADS, CLASSES) for mu in ("0.1", "0.15", "0.2")]
    forces = [float(dict(each.more)["force"].magnitude) for each in found]  # type: ignore[union-attr]
    assert forces == sorted(forces, reverse=True)
    assert [each.value.magnitude for each in found] == sorted(each.value.magnitude for each in found)


@given(numbers, st.decimals("100", "900", places=0), st.decimals("0", "90", places=0))
def test_units_do_not_matter_and_a_longer_arm_needs_less(wanted: Decimal, lever: Decimal, adapter: Decimal) -> None:
    straight = Amount(Decimal(0), "degree_of_arc", Kind.ANGLE)
    torque, long, more = (
        Amount(wanted, "newton_metre", Kind.TORQUE), Amount(lever, "millimetre", Kind.LENGTH),
        Amount(adapter, "millimetre", Kind.LENGTH),
    )  # fmt: skip
    metric = wrench_setting(torque, long, more, straight).value
    others = wrench_setting(
        convert(torque, "foot_pound"), convert(long, "inch"), convert(more, "foot"), convert(straight, "turn")
    ).value
    assert isclose(convert(others, "newton_metre").magnitude, metric.magnitude, rel_tol=1e-12)
    assert metric.magnitude <= wanted
    square = wrench_setting(torque, long, more, amount("90 °")).value
    assert isclose(square.magnitude, wanted, rel_tol=1e-6)


def test_an_adapter_that_reaches_the_hand_is_refused() -> None:
    with pytest.raises(ReadingError):
        wrench_setting(amount("30 N·m"), amount("400 mm"), amount("350 mm"), amount("180 °"))


@given(st.integers(3, 12))
def test_every_bolt_of_a_ring_comes_once_and_neighbours_never_follow(number: int) -> None:
    order = [int(each) for each in ring_order(amount(str(number), Kind.COUNT), amount("100 N·m")).value.split(", ")]
    assert sorted(order) == list(range(1, number + 1))
    if number > 3:  # of three, all are neighbours
        first = order[:2]
        assert (first[1] - first[0]) % number not in (1, number - 1)


@given(st.integers(1, 12), st.integers(1, 4))
def test_every_bolt_of_a_cover_comes_once_and_the_middle_first(columns: int, rows: int) -> None:
    found = cover_order(amount(str(columns), Kind.COUNT), amount(str(rows), Kind.COUNT), amount("10 N·m"))
    order = [int(each) - 1 for each in found.value.split(", ")]
    assert sorted(order) == list(range(columns * rows))
    far = [abs(bolt % columns - (columns - 1) / 2) ** 2 + abs(bolt // columns - (rows - 1) / 2) ** 2 for bolt in order]
    assert all(later >= sooner - 1e-9 for sooner, later in pairwise(far))


@pytest.mark.parametrize(("thread", "nearest"), [("M9", "M8, M10"), ("M16", "M14, M18"), ("M20", "M18"), ("M7", "M8")])
def test_the_plugs_that_are_known_are_told_by_their_diameter(thread: str, nearest: str) -> None:
    with pytest.raises(ReadingError, match=f"nearest first: {nearest}"):
        spark_plug("gasket", thread, "iron", TABLES["spark-plugs"])


def test_the_smallest_plug_is_known() -> None:
    assert spark_plug("gasket", "M8", "aluminium", TABLES["spark-plugs"]).value == amount("5.8 lbf·ft")


@given(st.integers(1, 130), st.sampled_from(["8.8", "10.9", "A2-70"]), st.sampled_from(["M6", "M12", "M20", "M14x1.5"]))
def test_nothing_beyond_what_a_bolt_bears_passes_and_near_it_a_caution_is_due(
    percent: int, strength: str, thread: str
) -> None:
    limit = greatest_torque(thread, strength, USUAL, THREADS, CLASSES).value
    torque = Amount(limit.magnitude * percent / 100, "newton_metre", Kind.TORQUE)
    if percent > 100 or percent < 8:
        with pytest.raises(ReadingError, match="can't be meant"):
            plausible(torque, thread, strength, USUAL, THREADS, CLASSES)
    else:
        found = plausible(torque, thread, strength, USUAL, THREADS, CLASSES)
        assert any("near the most" in each for each in found.cautions) == (percent > 80)


def test_a_torque_that_only_a_stronger_bolt_bears_is_asked_about() -> None:
    with pytest.raises(ReadingError, match=r"A bolt of 10\.9 would bear it"):
        plausible(amount("110 N·m"), "M12", "8.8", USUAL, THREADS, CLASSES)


@pytest.mark.parametrize(
    ("thread", "printed"), [("M8", "25"), ("M10", "49"), ("M12", "85"), ("M16", "210"), ("M20", "425")]
)
def test_a_printed_torque_for_rougher_threads_passes_when_the_friction_is_told(thread: str, printed: str) -> None:
    """A machine's manual (Strobl, page 99) prints the torques of 8.8 with a friction of 0.14."""
    rough = amount("0.14", Kind.COUNT)
    assert plausible(amount(f"{printed} N·m"), thread, "8.8", rough, THREADS, CLASSES).cautions


@pytest.mark.parametrize(
    ("text", "name"),
    [("3/8-16", "3/8-16 UNC"), ("3/8 UNF", "3/8-24 UNF"), ("5/16-18 UNC", "5/16-18 UNC"), ("1/2 in-20", "1/2-20 UNF"),
     ("#10-24", "#10-24 UNC"), ("1-8", "1-8 UNC")],
)  # fmt: skip
def test_an_inch_thread_is_read_by_its_turns_or_its_series(text: str, name: str) -> None:
    assert str(read_thread(text, THREADS)) == name


@pytest.mark.parametrize(("text", "hint"), [("3/8", "coarse or fine"), ("3/8-17", "no thread"), ("M13", "M12 or M14")])
def test_a_thread_that_is_left_open_is_asked_about(text: str, hint: str) -> None:
    with pytest.raises(ReadingError, match=hint):
        read_thread(text, THREADS)


def test_the_larger_bolts_of_8_8_are_the_stronger_steel() -> None:
    """ISO 898-1: 640 MPa to M16, 660 MPa above."""
    shares = [
        greatest_torque(thread, "8.8", USUAL, THREADS, CLASSES).value.magnitude
        / greatest_torque(thread, "10.9", USUAL, THREADS, CLASSES).value.magnitude
        for thread in ("M16", "M18")
    ]
    assert [round(float(each), 4) for each in shares] == [round(640 / 940, 4), round(660 / 940, 4)]


@pytest.mark.parametrize(("thread", "strength"), [("M10", "SAE 5"), ("3/8-16", "8.8")])
def test_a_class_of_the_other_system_is_refused(thread: str, strength: str) -> None:
    with pytest.raises(ReadingError, match="do not go together"):
        greatest_torque(thread, strength, USUAL, THREADS, CLASSES)
    assert greatest_torque("3/8-16", "A2-70", USUAL, THREADS, CLASSES).value.magnitude > 0


@pytest.mark.parametrize(
    ("thread", "strength", "printed"),
    [("1/4-20", "SAE 5", "76 lbf·in"), ("3/8-16", "SAE 5", "23 lbf·ft"), ("1/2-13", "SAE 8", "80 lbf·ft"),
     ("7/16-20", "SAE 8", "58 lbf·ft"), ("3/4-16", "SAE 5", "223 lbf·ft")],
)  # fmt: skip
def test_what_a_guide_prints_for_plated_inch_bolts_is_plausible(thread: str, strength: str, printed: str) -> None:
    """Three quarters of the proof load, hillcofasteners.com: near what a bolt bears, and below it."""
    found = plausible(amount(printed), thread, strength, USUAL, THREADS, CLASSES)
    assert found.value.startswith("It can be")
