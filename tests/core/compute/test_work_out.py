"""What a person may type or say to any computation: examples work, nonsense is refused in few words."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from assistant.core import compute
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import SUBJECTS, Calculation, Form, Input
from assistant.core.compute.base.result import Finding, Result
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Kind, amount, write_amount
from assistant.wiring import library

TABLES = library(Path()).tables()
AMOUNTS = [
    (calculation, each)
    for calculation in CALCULATIONS.values()
    for each in calculation.inputs
    if isinstance(each.takes, Kind)
]
MOST_WORDS = 15
COMPARED = ("allowed", "approval", "approvals")
"""Free texts: one that says nothing fits nothing, and the answer is no."""


def refused(name: str, given: dict[str, str]) -> ReadingError:
    with pytest.raises(ReadingError) as raised:
        work_out(name, given, TABLES)
    assert len(raised.value.say.split()) <= MOST_WORDS, raised.value.say
    return raised.value


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_the_example_of_every_computation_works(calculation: Calculation) -> None:
    answer = work_out(calculation.name, calculation.example, TABLES)
    assert isinstance(answer, Result | Finding)
    assert answer.because and answer.source
    assert calculation.subject in SUBJECTS
    assert calculation.formula and calculation.source and calculation.valid


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_what_is_missing_is_asked_for(calculation: Calculation) -> None:
    for each in calculation.inputs:
        if each.default is None:
            error = refused(calculation.name, {k: v for k, v in calculation.example.items() if k != each.name})
            assert each.name in str(error)


@pytest.mark.parametrize(("calculation", "wanted"), AMOUNTS, ids=lambda each: each.name)
@pytest.mark.parametrize("number", ["nan", "inf", "-1e8", "9e8"])
def test_what_cannot_be_is_refused(calculation: Calculation, wanted: Input, number: str) -> None:
    unit = write_amount(amount(wanted.most, Kind(wanted.takes))).partition(" ")[2]
    error = refused(calculation.name, {**calculation.example, wanted.name: f"{number} {unit}".strip()})
    assert wanted.name in str(error)


@pytest.mark.parametrize(("calculation", "wanted"), AMOUNTS, ids=lambda each: each.name)
def test_a_bare_number_or_another_kind_is_refused(calculation: Calculation, wanted: Input) -> None:
    wrong = "3 kg" if wanted.takes is not Kind.MASS else "3 mm"
    assert wanted.name in str(refused(calculation.name, {**calculation.example, wanted.name: wrong}))
    if wanted.takes is not Kind.COUNT:
        for bare in ("3", "three"):
            assert "unit" in str(refused(calculation.name, {**calculation.example, wanted.name: bare}))


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_a_text_that_says_nothing_is_refused(calculation: Calculation) -> None:
    for each in calculation.inputs:
        if each.takes in (Form.TEXT, Form.DAY, Form.LEVEL, Form.AMOUNT) and each.name not in COMPARED:
            refused(calculation.name, {**calculation.example, each.name: "zzz qqq"})


def test_a_name_that_is_not_known_gets_the_nearest() -> None:
    assert "wrench-setting" in str(refused("wrench-seting", {}))
    assert "lever" in str(refused("wrench-setting", {"levre": "1 m"}))


@pytest.mark.parametrize(
    ("text", "kind", "exact"),
    [
        ("3/8 in", Kind.LENGTH, "0.375 in"),
        ("1 1/2 in", Kind.LENGTH, "1.5 in"),
        ("three eighths of an inch", Kind.LENGTH, "0.375 in"),
        ("twenty-five Newton metres", Kind.TORQUE, "25 N·m"),
        ("point eight of a litre", Kind.VOLUME, "0.8 L"),
        ("25Nm", Kind.TORQUE, "25 N·m"),
        ("three and a half litres", Kind.VOLUME, "3.5 L"),
    ],
)
def test_what_people_say_and_type_is_read_exactly(text: str, kind: Kind, exact: str) -> None:
    read = read_amount(text, kind)
    assert read.magnitude == amount(exact).magnitude and read.unit == amount(exact).unit


def test_a_quart_is_asked_about_unless_the_person_has_one() -> None:
    for text in ("point eight of a quart", "0.8 qt", "0.8 quarts"):
        with pytest.raises(ReadingError):
            read_amount(text, Kind.VOLUME)
    for text in ("point eight of a quart", "0.8 quarts"):
        assert write_amount(read_amount(text, Kind.VOLUME, "us")) == "0.8 US qt"
        assert write_amount(read_amount(text, Kind.VOLUME, "imperial")) == "0.8 imp qt"


def test_an_approval_that_says_nothing_fits_nothing() -> None:
    example = CALCULATIONS["oil-suits"].example
    for name in COMPARED:
        answer = work_out("oil-suits", {**example, name: "zzz qqq"}, TABLES)
        assert isinstance(answer, Finding) and answer.value.startswith("No")


def test_every_refusal_is_short_enough_to_be_kept_in_mind() -> None:
    """At most fifteen words and no figure, wherever a refusal is written out in the code of the computations."""
    found = [
        (path.name, keyword.value.value)
        for path in Path(compute.__file__).parent.rglob("*.py")
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call)
        for keyword in call.keywords
        if keyword.arg == "say" and isinstance(keyword.value, ast.Constant)
    ]
    assert len(found) > 40
    assert not [each for each in found if len(each[1].split()) > MOST_WORDS]
    assert not [each for each in found if any(letter.isdigit() for letter in each[1])]


@pytest.mark.parametrize(
    ("name", "given", "same"),
    [
        ("stress-area", {"thread": "M14x1,5"}, {"thread": "M14×1.5"}),
        ("brake-fluid", {"grade": "dot 4"}, {"grade": "DOT 4"}),
        ("wheel-nut-torque", {"stud": "½ in"}, {"stud": "1/2 in"}),
        ("wheel-nut-torque", {"stud": "12MM"}, {"stud": "12 mm"}),
        ("oil-suits", {"grade": "5w30"}, {"grade": "5W-30"}),
    ],
)
def test_sizes_and_grades_are_taken_as_people_write_them(
    name: str, given: dict[str, str], same: dict[str, str]
) -> None:
    example = CALCULATIONS[name].example
    assert work_out(name, {**example, **given}, TABLES).value == work_out(name, {**example, **same}, TABLES).value


def test_a_bound_is_told_in_the_unit_in_which_the_value_was_given() -> None:
    example = CALCULATIONS["wrench-setting"].example
    for wanted, bounds in (("9000 N·m", "0.5 N·m to 1000 N·m"), ("9000 lbf·ft", "0.3688 lbf·ft to 737.6 lbf·ft")):
        error = refused("wrench-setting", {**example, "wanted": wanted})  # 1000 / 1.355818 (NIST SP 811, B.8)
        assert f"{wanted} is outside {bounds}" in str(error)
        assert "for instance" in str(error).lower()
