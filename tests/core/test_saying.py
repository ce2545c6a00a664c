"""What is said, against num2words (an independent library) and against fixed forms."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.core.hearing.numbers import quantity_of
from assistant.core.saying import say_amount, say_date, say_duration, say_integer, say_number
from assistant.core.units import Amount, Kind, amount, kind_of


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
        ("25 N·m", "twenty-five newton metres"),
        ("1 N·m", "one newton metre"),
        ("15 N·m", "fifteen newton metres, one five"),  # fifteen and fifty: ICAO Annex 10 says numbers digit by digit
        ("50 N·m", "fifty newton metres, five zero"),
        ("3.8 L", "three point eight litres"),
        ("0.7 L", "zero point seven litres"),
        ("18 lbf·ft", "eighteen foot pounds, one eight"),
        ("84200 km", "eighty-four thousand two hundred kilometres"),
    ],
)
def test_amounts_have_fixed_forms(text: str, said: str) -> None:
    assert say_amount(amount(text)) == said


_SPOKEN = ["newton_metre", "foot_pound", "litre", "millilitre", "kilogram", "kilometre", "mile", "month"]


@given(st.decimals("0.1", "9999", places=1), st.sampled_from(_SPOKEN))
def test_what_is_said_is_heard_back_as_the_same(number: Decimal, unit: str) -> None:
    value = Amount(number, unit, kind_of(unit))
    words = say_amount(value).partition(",")[0].replace("-", " ")
    heard = quantity_of(words, "metric")
    assert (heard.magnitude, heard.unit) == (number, unit)
    assert not any(character.isdigit() for character in say_amount(value))


def test_counts_have_no_unit() -> None:
    assert say_amount(Amount(Decimal(2), "one", Kind.COUNT)) == "two"


@given(st.dates(date(2010, 1, 1), date(2099, 12, 31)))
def test_dates_have_the_ordinals_of_an_independent_library(day: date) -> None:
    assert say_date(day).split()[1] == num2words(day.day, to="ordinal")


def test_times_are_rounded_for_the_ear() -> None:
    assert say_duration(57) == "fifty-seven seconds"
    assert say_duration(300) == "five minutes"
    assert say_duration(60 * 61) == "sixty-one minutes"
