"""`assistant work-out` as a person or a program runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.commands.cli import main
from assistant.core.compute.work_out import CALCULATIONS

SETTING = ("work-out", "wrench-setting", "wanted=50 lbf·ft", "lever=16 in", "adapter=2 in")


def out(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> tuple[str, str]:
    assert main(arguments) == code
    printed = capsys.readouterr()
    return printed.out, printed.err


def test_an_answer_comes_first_and_then_what_it_rests_on(capsys: pytest.CaptureFixture[str]) -> None:
    lines, errors = out(capsys, *SETTING)
    assert lines.startswith("44.44 lbf·ft\n")  # printed in the manual of a torque wrench, Performance Tool M199, page 7
    for word in ("why: ", "given: wanted 50 lbf·ft", "assumed: ", "careful: ", "source: "):
        assert word in lines
    assert not errors


def test_a_program_gets_exact_amounts_with_their_units(capsys: pytest.CaptureFixture[str]) -> None:
    record = json.loads(out(capsys, *SETTING, "--json")[0])
    assert record["value"]["unit"] == "lbf·ft"
    assert float(record["value"]["magnitude"]) == pytest.approx(400 / 9, rel=1e-12)
    assert record["inputs"]["lever"] == {"magnitude": "16", "unit": "in"}
    assert record["say"].endswith("foot pounds.")


def test_without_values_it_shows_what_it_needs_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    for name, calculation in CALCULATIONS.items():
        page, _ = out(capsys, "work-out", name)
        assert all(each.name in page for each in calculation.inputs)
        assert f"assistant work-out {name} " in page
        assert "The service manual of the vehicle goes before" in page


def test_the_list_names_all_of_them(capsys: pytest.CaptureFixture[str]) -> None:
    lines, _ = out(capsys, "work-out", "--list")
    assert all(f"  {name}: " in lines for name in CALCULATIONS)
    assert {each["name"] for each in json.loads(out(capsys, "work-out", "--json")[0])} == set(CALCULATIONS)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("wrench-setting", "wanted=30", "lever=16 in", "adapter=2 in"), "has no unit"),
        (("wrench-setting", "wanted=3 L", "lever=16 in", "adapter=2 in"), "is a volume, and a torque is needed"),
        (("wrench-setting", "wanted=9000 N·m", "lever=16 in", "adapter=2 in"), "outside 0.5 N·m to 1000 N·m"),
        (("wrench-setting", "wanted=30 N·m", "adapter=2 in"), "lever is missing"),
        (("wrench-setin",), "did you mean 'wrench-setting'"),
        (("convert", "value=1 qt", "to=L"), "US qt or imp qt"),
        (("convert", "value=1 N·m", "to=L"), "is a torque"),
    ],
)
def test_bad_values_end_with_what_is_wrong(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
) -> None:
    lines, errors = out(capsys, "work-out", *arguments, code=1)
    assert not lines
    assert errors.startswith("error: ") and said in errors


def test_a_value_without_its_name_or_given_twice_is_a_wrong_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(("work-out", "convert", "3"))
    assert stopped.value.code == 2
    assert "given twice" in out(capsys, "work-out", "convert", "to=L", "to=mL", code=2)[1]


DUE = ("work-out", "next-due", "day=2026-03-14", "odometer=84200 km", "interval-distance=15000 km",
       "interval-time=12 months")  # fmt: skip


def test_the_day_of_the_next_change_goes_into_a_calendar(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "next.ics"
    lines, errors = out(capsys, *DUE, "--calendar", str(file))
    assert lines.startswith("2027-03-14\n") and "at: 99200 km" in lines
    assert errors == f"calendar: {file}\n"
    assert b"DTSTART;VALUE=DATE:20270314\r\n" in file.read_bytes()


def test_a_calendar_is_refused_where_there_is_no_day(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "no.ics"
    assert "only next-due" in out(capsys, *SETTING, "--calendar", str(file), code=2)[1]
    assert not file.exists()
