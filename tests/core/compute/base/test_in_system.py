"""An answer in the units of one system: values, and amounts in words. Factors are those of NIST SP 811."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.core.compute.base.in_system import example_in, in_system
from assistant.core.compute.base.result import Finding
from assistant.core.compute.base.showing_answers import page
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.quantities.units import SYMBOLS, Amount
from assistant.wiring import library

TABLES = library(Path()).tables()
METRIC = {"N·m", "L", "mL", "kg", "km", "mm", "cm", "°C", "bar", "kPa", "km/h", "N", "kN", "L/1000 km"}
AMERICAN = {"lbf·ft", "lbf·in", "US qt", "US fl oz", "US gal", "lb", "mi", "in", "ft", "°F", "psi", "mph", "lbf"}
CHOSEN = "convert"
"""There the person says in which unit."""


@pytest.mark.parametrize(("system", "strange"), [("us", METRIC), ("metric", AMERICAN)])
@pytest.mark.parametrize("name", [name for name in CALCULATIONS if name != CHOSEN])
def test_no_answer_mixes_systems(name: str, system: str, strange: set[str]) -> None:
    answer = work_out(name, CALCULATIONS[name].example, TABLES, system)
    values = [answer.value, getattr(answer, "uncertainty", None), *(value for _, value in answer.more)]
    assert not {SYMBOLS[value.unit] for value in values if isinstance(value, Amount)} & strange
    words = " ".join((answer.because, *answer.cautions, *(text for text in answer.assumptions if "each" not in text)))
    found = set(re.findall(r"\d ([^\s,.;:)]+)", words)) & (strange - {"in", "bar", "ft"})
    assert not found


def test_a_plug_has_its_torque_in_the_owners_units() -> None:
    given = {"seat": "gasket", "thread": "m14", "head": "Aluminium"}
    metric = work_out("spark-plug-torque", given, TABLES, "metric").value
    assert isinstance(metric, Amount) and metric.unit == "newton_metre"
    assert float(metric.magnitude) == pytest.approx(18 * 1.355818)  # NIST SP 811 B.8; the table prints 18 lbf·ft
    assert (
        work_out("spark-plug-torque", given, TABLES).value == work_out("spark-plug-torque", given, TABLES, "us").value
    )


def test_a_quart_is_the_owners_in_lists_too() -> None:
    sizes = {"need": "4 qt", "sizes": "1 qt: 9,50, 5 qt: 32"}
    assert work_out("oil-bottles", sizes, TABLES, "us").value == "1 × 5 US qt"
    readings = {"readings": "1/8: 3.5 qt, 1/2: 3.9 qt, 7/8: 4.2 qt"}
    span = work_out("dipstick-span", readings, TABLES, "us").value
    assert isinstance(span, Amount) and span.unit == "US_quart"
    litres = work_out("dipstick-span", {"readings": readings["readings"].replace("qt", "L")}, TABLES).value
    assert isinstance(litres, Amount)
    assert float(span.magnitude) == pytest.approx(float(litres.magnitude))
    assert work_out("convert", {"value": "1 qt", "to": "qt"}, TABLES, "imperial").value


def test_words_are_turned_with_all_their_numbers_and_bottles_and_differences_stay() -> None:
    answer = Finding(value="1 × 5 L", because="From 5 to 10 mm, at 35 °C, 0.1 for each 10 °C, 5 bar and M14×1.5, 3 V.")
    turned = in_system(answer, "us")
    assert turned.value == "1 × 5 L"
    assert turned.because == "From 0.1969 to 0.3937 in, at 95 °F, 0.1 for each 10 °C, 72.52 psi and M14×1.5, 3 V."
    assert in_system(answer, "metric") == answer


@pytest.mark.parametrize("name", [name for name in CALCULATIONS if name != CHOSEN])
def test_the_help_is_in_the_owners_units_and_its_example_works(name: str) -> None:
    calculation = CALCULATIONS[name]
    example = example_in(calculation, "us")
    assert work_out(name, example, TABLES, "us")
    listed = {each.name for each in calculation.inputs if each.options}
    sold = {"sizes"}  # bottles stay as they are sold
    told = " ".join(f"{text}." for key, text in example.items() if key not in listed | sold)
    lines = [line for line in page(calculation, work_out(name, example, TABLES, "us"), "us") if line.startswith("  ")]
    bounds = " ".join(
        line.split(";")[1] for line in lines if line.count(" to ") and ";" in line and "one of" not in line
    )
    assert not set(re.findall(r"\d ([^\s,.;:)]+)", f"{told} {bounds}.")) & METRIC
    assert any(line.endswith("--units us") for line in lines)
    assert example_in(calculation, None) == dict(calculation.example)
