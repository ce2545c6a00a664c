"""What is said, against num2words (an independent library) and against fixed forms."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.core.errors import ReadingError
from assistant.core.quantities.numbers import quantity_of
from assistant.core.quantities.saying import (
    say_amount,
    say_date,
    say_duration,
    say_integer,
    say_number,
    say_unit,
    show_amount,
)
from assistant.core.quantities.units import SYMBOLS, Amount, Kind, amount, convert, kind_of


@given(st.integers(0, 999_999))
def test_whole_numbers_are_those_of_an_independent_library(number: int) -> None:
    expected = num2words(number).replace(" and ", " ").replace(",", "")
    assert say_integer(number) == expected


@given(st.integers(0, 99_999), st.integers(1, 999))
def test_decimals_are_those_of_an_independent_library(whole: int, thousandths: int) -> None:
    number = Decimal(whole) + Decimal(thousandths) / 1000
    # num2words works on floats here, so its digits are taken from the exact text
    digits = f"{number.normalize():f}".partition(".")[2]
    expected = " ".join(num2words(int(digit)) for digit in digits)
    assert say_number(number).partition(" point ")[2] == expected


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("25 N·m", "twenty-five, newton metres"),
        ("1 N·m", "one, newton metre"),
        ("15 N·m", "fifteen, newton metres, one five"),  # fifteen and fifty: ICAO Annex 10 says numbers digit by digit
        ("50 N·m", "fifty, newton metres, five zero"),
        ("3.8 L", "three point eight litres"),
        ("0.7 L", "zero point seven litres"),
        ("18 lbf·ft", "eighteen, foot pounds, one eight"),
        ("84200 km", "eighty-four thousand two hundred kilometres"),
        ("15000 km", "fifteen thousand, kilometres, one five zero zero zero"),  # and not fifty thousand
        ("13.5 L", "thirteen point five, litres, one three point five"),
        ("-5 °C", "minus five degrees Celsius"),
        ("2 bar", "two bar"),
        ("32 psi", "thirty-two pounds per square inch"),
        ("1 in", "one inch"),
        ("2.50 L", "two point five litres"),
    ],
)
def test_amounts_have_fixed_forms(text: str, said: str) -> None:
    assert say_amount(amount(text)) == said


_SPOKEN = ["newton_metre", "foot_pound", "litre", "millilitre", "kilogram", "kilometre", "mile", "month"]


@given(st.decimals("0.1", "9999", places=1), st.sampled_from(_SPOKEN))
def test_what_is_said_is_heard_back_as_the_same(number: Decimal, unit: str) -> None:
    value = Amount(number, unit, kind_of(unit))
    name = "" if say_unit(unit, number) in say_amount(value).partition(",")[0] else say_unit(unit, number)
    heard = quantity_of(f"{say_amount(value).partition(',')[0]} {name}".strip().replace("-", " "), "metric")
    assert (heard.magnitude, heard.unit) == (number, unit)
    assert not any(character.isdigit() for character in say_amount(value))


@given(st.integers(0, 99), st.integers(0, 99), st.sampled_from(["newton_metre", "litre", "bar", "kilometre"]))
def test_teens_and_tens_differ_in_more_than_their_ending(one: int, other: int, unit: str) -> None:
    """Strip the endings that the ear mixes up: two different amounts still have different words."""
    said = [say_amount(Amount(Decimal(number), unit, kind_of(unit))) for number in (one, other)]
    blurred = [re.sub(r"(teen|ty)\b", "T", words).replace("fourT", "forT").replace("eighT", "eiT") for words in said]
    assert (one == other) == (blurred[0] == blurred[1])


def test_counts_have_no_unit() -> None:
    assert say_amount(Amount(Decimal(2), "one", Kind.COUNT)) == "two"


@given(st.dates(date(2010, 1, 1), date(2099, 12, 31)))
def test_dates_have_the_ordinals_of_an_independent_library(day: date) -> None:
    assert say_date(day).split()[1] == num2words(day.day, to="ordinal")


@given(st.dates(date(1901, 1, 1), date(2999, 12, 31)))
def test_years_are_those_of_an_independent_library(day: date) -> None:
    expected = num2words(day.year, to="year").replace(" and ", " ").replace("oh-", "oh ")
    assert say_date(day).endswith(f" {expected}")


@pytest.mark.parametrize("number", ["NaN", "Infinity"])
def test_what_is_no_number_is_neither_said_nor_shown(number: str) -> None:
    wild = Amount(Decimal(number), "litre", Kind.VOLUME)
    for refuse in (lambda: say_number(wild.magnitude), lambda: say_amount(wild), lambda: show_amount(wild)):
        with pytest.raises(ReadingError):
            refuse()


def test_long_fractions_are_said_and_shown_to_the_thousandth() -> None:
    assert say_amount(quantity_of("two thirds of a litre", "metric")) == "zero point six six seven litres"
    # 0.7 L = 0.7 / 0.946352946 = 0.739682... US quarts (NIST SP 811 rounds the factor to 0.9463529)
    in_quarts = convert(amount("0.7 L"), "US_quart")
    assert say_amount(in_quarts) == "zero point seven four quarts"
    assert show_amount(in_quarts) == "0.74 US qt"
    assert say_number(Decimal("-0.0001")) == "zero"


@given(st.decimals("-99", "9999", places=2), st.sampled_from(sorted(SYMBOLS)))
def test_no_figure_and_no_sign_is_ever_said(number: Decimal, unit: str) -> None:
    said = say_amount(Amount(number, unit, kind_of(unit)))
    assert all(character.isalpha() or character in " ,-" for character in said), said


def test_a_whole_date_has_its_fixed_form() -> None:
    assert say_date(date(2027, 3, 14)) == "the fourteenth of March twenty twenty-seven"


def test_what_is_shown_has_figures_and_a_symbol() -> None:
    # SI brochure (9th edition, 5.4.3): the number, a space, the symbol
    assert show_amount(amount("25 N·m")) == "25 N·m"
    assert show_amount(amount("3.80 L")) == "3.8 L"
    assert show_amount(amount("1000 km")) == "1000 km"


def test_times_are_rounded_for_the_ear() -> None:
    assert say_duration(57) == "fifty-seven seconds"
    assert say_duration(300) == "five minutes"
    assert say_duration(60 * 61) == "sixty-one minutes"
