"""Written and said amounts, by rule and by hand: each is read exactly, or refused, and none becomes another one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words
from pydantic import TypeAdapter, ValidationError

from assistant.core.amounts import reader
from assistant.core.amounts.levels import read_level
from assistant.core.amounts.reader import read_amount
from assistant.core.amounts.typed import doubt_in
from assistant.core.data.base import QuantityText
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import SYMBOLS, Kind, amount, example_of

pytestmark = pytest.mark.pure

MOST_WORDS = 15
TABLE: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "written.yaml").read_text(encoding="utf-8"))
READ = [(text, is_) for text, is_ in TABLE["read"].items() if is_ != "refused"]
REFUSED = [(text, why) for why, texts in TABLE["refused"].items() for text in texts]
REFUSED += [(text, "") for text, is_ in TABLE["read"].items() if is_ == "refused"]

NUMBERS = {
    "7": "7", "25": "25", "007": "7", "12.5": "12.5", "12,5": "12.5", "0,75": "0.75", ".25": "0.25", "1 1/2": "1.5",
    "2½": "2.5", "1 250,5": "1250.5", "1.250,75": "1250.75", "1,250.75": "1250.75", "1'250": "1250", "12e1": "120",
    "+3": "3", "–4": "-4", "−4.5": "-4.5", "minus 6": "-6", "twenty-five": "25", "one hundred and five": "105",
    "three point one four": "3.14", "two and a quarter": "2.25", "minus twelve": "-12", "a thousand": "1000",
}  # fmt: skip
UNITS = {
    "N·m": "N·m", "Nm": "N·m", "newton metres": "N·m", "lb-ft": "lbf·ft", "in lbs": "lbf·in", "kgf·m": "kgf·m",
    "l": "L", "liters": "L", "millilitres": "mL", "kg": "kg", "pounds": "lb", "km": "km", "miles": "mi", "mm": "mm",
    "centimeters": "cm", "inches": "in", "ft": "ft", "s": "s", "mins": "min", "hours": "h", "°C": "°C", "deg F": "°F",
    "kPa": "kPa", "bar": "bar", "psi": "psi", "%": "%", "°": "°", "km/h": "km/h", "mph": "mph", "kN": "kN",
    "mm²": "mm²", "kg/m3": "kg/m³", "cSt": "mm²/s", "volts": "V", "mV": "mV", "amps": "A", "Ah": "Ah", "K": "K",
}  # fmt: skip
"""How a number and a unit may be written, and what they are: any of one go with any of the other."""


def refused(text: str, kind: Kind | None = None, system: str | None = None) -> ReadingError:
    with pytest.raises(ReadingError) as raised:
        read_amount(text, kind, system)
    assert len(raised.value.say.split()) <= MOST_WORDS
    return raised.value


@pytest.mark.parametrize(("text", "exact"), READ)
def test_an_amount_is_read_exactly(text: str, exact: str) -> None:
    assert read_amount(text) == amount(exact)


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_what_is_no_one_amount_is_refused_and_says_why(text: str, why: str) -> None:
    message = str(refused(text))
    assert why in message
    assert "for instance" in message


def by_rule() -> Iterator[tuple[str, Decimal, str]]:
    for (number, value), (unit, symbol) in product(NUMBERS.items(), UNITS.items()):
        yield f"{number} {unit}", Decimal(value), symbol
        if number[-1].isdigit():
            yield f"{number}{unit}", Decimal(value), symbol


def test_every_number_goes_with_every_unit() -> None:
    cases = list(by_rule())
    assert len(cases) > 1200
    wrong = [(text, read) for text, value, symbol in cases
             if ((read := read_amount(text)).magnitude, SYMBOLS[read.unit]) != (value, symbol)]  # fmt: skip
    assert not wrong


@pytest.mark.parametrize(
    "broken", ["{}–{}", "{} to {}", "{}...{}", "<{}", "{}/{}", "about {}", "{} {}", "{}-{}", "≥ {}"]
)
def test_no_number_that_is_more_or_less_than_one_goes_with_any_unit(broken: str) -> None:
    for unit in UNITS:
        refused(f"{broken.format('7.5', '9')} {unit}")


@pytest.mark.parametrize("symbol", SYMBOLS.values())
def test_what_files_write_people_may_write(symbol: str) -> None:
    assert read_amount(f"12.5 {symbol}") == amount(f"12.5 {symbol}")


@given(st.integers(0, 999_999), st.sampled_from(["litres", "newton metres", "volts", "psi", "percent", "metres"]))
def test_numbers_in_words_are_those_of_another_hand(number: int, unit: str) -> None:
    words = num2words(number).replace(",", "")
    assert read_amount(f"{words} {unit}").magnitude == number
    assert read_amount(f"minus {words} {unit}").magnitude == -number


@pytest.mark.parametrize(
    ("text", "system", "exact"),
    [("3 quarts", "us", "3 US qt"), ("3 qt", "imperial", "3 imp qt"), ("two pints", "us", "2 US pt"),
     ("3 ton", "us", "6000 lb"),
     ("3 ton", "metric", "3 t"), ("20 degrees", "us", "20 °F"), ("minus twenty degrees", "metric", "-20 °C"),
     ("20°", "imperial", "20 °C"), ("1 gal", "us", "1 US gal"), ("5 fl oz", "us", "5 US fl oz")],
)  # fmt: skip
def test_the_owners_units_tell_what_is_not_the_same_everywhere(text: str, system: str, exact: str) -> None:
    kind = amount(exact).kind
    assert read_amount(text, kind, system) == amount(exact)
    assert "not the same everywhere" in str(refused(text, kind))


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.COUNT])
def test_a_refusal_shows_an_example_of_the_kind_that_is_needed(kind: Kind) -> None:
    for text in ("12", "banana", "12 banana", "about 12 L", "3 pieces"):
        assert f"'{example_of(kind)}'" in str(refused(text, kind)), text
    assert read_amount(example_of(kind), kind).kind is kind


def test_an_unknown_unit_names_at_most_five() -> None:
    for kind in (None, *Kind):
        listed = str(refused("12 zorkmids", kind)).partition("allowed: ")[2].partition(". Write")[0]
        assert 1 <= len(listed.split(", ")) <= 5
    assert "mm" in str(refused("12 mmm", Kind.LENGTH))


def test_force_is_no_torque_and_degrees_are_of_what_is_needed() -> None:
    assert "is a force, and a torque is needed" in str(refused("35 newtons", Kind.TORQUE))
    assert "is a mass, and a torque is needed" in str(refused("90 pounds", Kind.TORQUE))
    assert read_amount("90 degrees", Kind.ANGLE).unit == "degree_of_arc"


_PIECES = st.sampled_from(["1", "2", "5", "20", "000", ".", ",", "-", "–", " ", "/", "½", "L", "Nm", "°C", "minus",
                           "to", "a", "half", "twenty", "point", "and", "~", "<", "'", "ft", "lb",
                           "e", "x", "%"])  # fmt: skip
TEXTS = st.one_of(
    st.text(max_size=20), st.lists(_PIECES, max_size=8).map("".join), st.lists(_PIECES, max_size=8).map(" ".join)
)


@given(TEXTS, st.sampled_from([None, *Kind]), st.sampled_from([None, "metric", "us"]))
def test_any_text_is_an_amount_of_its_own_figures_or_refused(text: str, kind: Kind | None, system: str | None) -> None:
    try:
        read = read_amount(text, kind, system)
    except ReadingError as error:
        assert len(error.say.split()) <= MOST_WORDS
        return
    figures = re.sub(r"[^0-9]", "", text)
    plain = f"{abs(read.magnitude):f}"
    if figures and not re.search(r"[/½e]|half|hundred|thousand|ton", text):
        assert plain.replace(".", "").strip("0") in figures
        assert len(re.findall(r"[0-9]+", text)) - text.count(" ") - text.count("'") <= 4
    if read.magnitude < 0:
        assert re.search(r"[-–−]|minus|negative|below", text)
    if re.match(r"\s*[-–−]", text):
        assert read.magnitude <= 0


@pytest.mark.parametrize(
    ("line", "doubtful"),
    [("7.5–9 Nm", True), ("2-3 litres", True), ("20...25", True), ("<25 Nm", True), ("2,500 bar", True),
     ("84,200 km", False), ("84.200 km", True), ("1,340 kg", False),
      ("84,200", False), ("8-4-2-0-0", False), ("0,125 l", False), ("1 1/2 l", False),
     ("25 Nm", False), ("next step", False), ("1.2.3 l", True)],
)  # fmt: skip
def test_a_typed_line_with_a_doubtful_number_is_noticed(line: str, doubtful: bool) -> None:
    doubt = doubt_in(line)
    assert bool(doubt) is doubtful
    assert len(doubt.split()) <= MOST_WORDS


def listed_forms() -> list[tuple[str, str]]:
    """Return each form that the page of the reader lists, with the symbol that it stands for."""
    page = (Path(reader.__file__).parent / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([^|]+) \| (`[^|]+) \|$", page, re.MULTILINE)
    return [(symbol, form) for symbol, forms in rows for form in re.findall(r"`([^`]+)`", forms)]


def test_every_form_that_is_listed_is_read_and_every_unit_is_listed() -> None:
    forms = listed_forms()
    assert not [(symbol, form) for symbol, form in forms if read_amount(f"2.5 {form}") != amount(f"2.5 {symbol}")]
    left = {"Δ°F", "US qt/1000 mi", "×"}
    assert {symbol for symbol, _ in forms} >= set(SYMBOLS.values()) - left


@pytest.mark.parametrize(
    ("text", "exact"), [("3,8 l", "3.8 L"), ("25 ft lbs", "25 lbf·ft"), ("84.200 km", "84.200 km")]
)
def test_files_are_read_by_the_same_reader(text: str, exact: str) -> None:
    assert TypeAdapter(QuantityText).validate_python(text) == amount(exact)


@pytest.mark.parametrize("text", ["2,500 bar", "7.5–9 Nm", "1 qt", "35", "-300 °C"])
def test_what_is_refused_elsewhere_is_refused_in_files(text: str) -> None:
    with pytest.raises(ValidationError):
        TypeAdapter(QuantityText).validate_python(text)


def test_long_texts_and_figures_are_read_exactly_or_refused_quickly() -> None:
    places = "0." + "123456789" * 3
    assert read_amount(f"-{places} L").magnitude == Decimal(f"-{places}")
    for text in (
        "1e99999999999999999999 L",
        "9" * 119,
        "1," * 50,
        "a " * 59,
        "half " * 20,
        "1 " * 5000,
        "-" * 100,
        "½" * 100,
    ):
        refused(text)
        with pytest.raises(ReadingError):
            read_level(text)
