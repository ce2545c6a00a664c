"""What is spoken of an answer: words alone, every number with its unit, and how sure it is."""

from __future__ import annotations

import re

import pytest

from assistant.core.compute.base.calculation import Calculation
from assistant.core.compute.base.result import Result
from assistant.core.compute.base.showing_answers import answer_lines, spoken
from assistant.core.compute.base.spoken import about, in_words
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.quantities.units import amount
from tests.published import TABLES, Check, checks

FIGURE_OR_SIGN = re.compile(r"[^A-Za-z ,.:;'?!-]|(?<!\w)-|\.\w|  ")
"""A hyphen may stand within a word, and a stop at the end of one."""


def said(name: str, **given: str) -> str:
    return spoken(work_out(name, {key.replace("_", "-"): value for key, value in given.items()}, TABLES))


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_no_figure_and_no_sign_is_spoken(calculation: Calculation) -> None:
    answer = work_out(calculation.name, calculation.example, TABLES)
    words = spoken(answer)
    assert not FIGURE_OR_SIGN.search(words), words
    assert words.endswith((".", "?")) and not words.endswith("..")
    if isinstance(answer, Result) and answer.uncertainty:
        assert "about" in words.lower() and "give or take" in words


@pytest.mark.parametrize("check", checks(), ids=str)
def test_nor_of_any_printed_example(check: Check) -> None:
    assert not FIGURE_OR_SIGN.search(spoken(check.answer())), spoken(check.answer())


@pytest.mark.parametrize(
    ("value", "off", "words"),
    [
        ("0.2513 L", "0.05 L", "about a quarter of a litre, give or take fifty, millilitres, five zero"),
        ("0.5 L", "0.05 L", "about half a litre, give or take fifty, millilitres, five zero"),
        ("0.94 L", "0.1245 L", "about zero point nine four litres, give or take one hundred twenty millilitres"),
        ("69.05 %", "15 %", "about sixty-nine percent, give or take fifteen, percent, one five"),
        ("83.11 %", "5 %", "about eighty-three percent, give or take five percent"),
        ("19951 km", "1118 km", "about twenty thousand kilometres, give or take one thousand one hundred kilometres"),
        ("-37.04 °C", "1.5 K", "about minus thirty-seven degrees Celsius, give or take one point five kelvin"),
    ],
)
def test_a_value_is_told_no_finer_than_it_is_known(value: str, off: str, words: str) -> None:
    assert re.sub(", two zero$", "", about(amount(value), amount(off))) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("No: the manual does not allow 10W-40.", "No: the manual does not allow ten W forty."),
        ("It is due on 2027-03-14.", "It is due on the fourteenth of March twenty twenty-seven."),
        ("The least is 1.6 mm, all round (SI 1986/1078).", "The least is one point six millimetres, all round."),
        ("M14×1.5 by SAE J300", "M fourteen by one point five by SAE J three hundred"),
        ("2/32 inch (state law)", "two thirty-seconds of an inch"),
        ("0.0625 in and 0.0005 in", "zero point zero six two five inches and zero point zero zero zero five inches"),
        ("made for starts down to -31 °C", "made for starts down to minus thirty-one degrees Celsius"),
    ],
)
def test_figures_of_a_text_become_words(text: str, words: str) -> None:
    assert in_words(text) == words


def test_verdict_bound_and_unit_are_spoken() -> None:
    used = said("oil-consumption", added="0.4 L", driven="1600 km")
    assert "give or take" in used and used.endswith("that is not too much.")
    assert "Each has to bear six hundred thirty, kilograms, six three zero." in said(
        "lifting-check", load="840 kg", rating="2 t", stamped="each"
    )
    assert "twenty-one point six, foot pounds" in said(
        "spark-plug-torque", seat="gasket", thread="M14", head="aluminium"
    )
    assert "ninety-nine thousand two hundred kilometres" in said("next-due", **CALCULATIONS["next-due"].example)


def test_nothing_that_was_measured_is_rounded() -> None:
    given = {"thinnest": "22.0055 mm", "thickest": "22.0105 mm", "least": "21.001 mm", "runout": "0.03 mm"}
    lines = "\n".join(answer_lines(work_out("brake-disc", given, TABLES)))
    assert "thinnest 22.0055 mm" in lines and "thickest 22.0105 mm" in lines
    assert "left: 1.0045 mm" in lines and "variation: 0.005 mm" in lines
    assert "One point zero zero five millimetres are left" in said("brake-disc", **{**given, "thinnest": "22.006 mm"})
