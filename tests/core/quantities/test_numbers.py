"""Spoken numbers to exact values, and figures to words; num2words is the independent reference."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.adapters.library import Library
from assistant.core.errors import ReadingError
from assistant.core.grammar.jsgf import Rules, parse_expansion
from assistant.core.grammar.parsing import parse
from assistant.core.grammar.word_graph import word_graph
from assistant.core.quantities.figures import digit_by_digit, twins_of, written_as_words
from assistant.core.quantities.levels import level_of
from assistant.core.quantities.numbers import quantity_of


@given(st.integers(0, 999_999), st.booleans())
def test_every_whole_number_is_read_back(number: int, with_and: bool) -> None:
    words = num2words(number).replace("-", " ").replace(",", "")
    if not with_and:
        words = words.replace(" and ", " ")
    assert quantity_of(words, "metric").magnitude == number


@pytest.mark.parametrize(
    ("words", "number", "unit"),
    [
        ("three point eight litres", "3.8", "litre"),
        ("three and a half litres", "3.5", "litre"),
        ("half a litre", "0.5", "litre"),
        ("a quarter of a litre", "0.25", "litre"),
        ("three quarters of a quart", "0.75", "US_quart"),
        ("four hundred mil", "400", "millilitre"),
        ("twenty five newton metres", "25", "newton_metre"),
        ("oh point five", "0.5", "one"),
        ("point eight", "0.8", "one"),
        ("eighteen foot pounds", "18", "foot_pound"),
        ("twenty two pound feet", "22", "foot_pound"),
        ("a hundred and ten newton metres", "110", "newton_metre"),
        ("eight four two zero zero", "84200", "one"),
        ("one tonne", "1", "tonne"),
        ("minus twenty degrees celsius", "-20", "degree_Celsius"),
        ("twelve point six volts", "12.6", "volt"),
        ("two metres", "2", "metre"),
        ("five amps", "5", "ampere"),
        ("fifty percent", "50", "percent"),
        ("thirty five newtons", "35", "newton"),
    ],
)
def test_as_people_say_it(words: str, number: str, unit: str) -> None:
    value = quantity_of(words, "us") if "quart" in words and "litre" not in words else quantity_of(words, "metric")
    assert (value.magnitude, value.unit) == (Decimal(number), unit)


def test_a_quart_belongs_to_its_place() -> None:
    assert quantity_of("one quart", "us").unit == "US_quart"
    assert quantity_of("one quart", "imperial").unit == "imperial_quart"
    with pytest.raises(ReadingError, match="not the same everywhere"):
        quantity_of("one quart", "metric")


@pytest.mark.parametrize("words", ["", "litres", "banana", "open the door"])
def test_no_number_is_refused(words: str) -> None:
    with pytest.raises(ReadingError):
        quantity_of(words, "metric")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("3.8 L", "three point eight litres"),
        ("84,200 kilometers.", "eighty four thousand two hundred kilometers"),
        ("25 Nm", "twenty five newton metres"),
        ("25 N·m", "twenty five newton metres"),
        ("18 ft-lbs", "eighteen foot pounds"),
        ("½", "a half"),
        ("1 1/2 liters", "one and a half liters"),
        ("0.05", "zero point zero five"),
        (".7 litres", "point seven litres"),
        ("007", "zero zero seven"),
        ("25Nm", "twenty five newton metres"),
        ("3 1/4 quarts", "three and a quarter quarts"),
        ("3,8 liters", "three point eight liters"),  # ISO 80000-1:2022 takes the comma as the decimal sign too
        ("-5", "minus five"),  # no rule takes a minus: it is refused, not dropped
        ("3/8 inch", "three over eight inch"),  # nor this: "three eight" would be taken for thirty-eight
        ("8-4-2-0-0", "eight four two zero zero"),
        ("20 °C", "twenty degrees celsius"),
        ("250 kPa", "two hundred fifty kilopascals"),
        ("thirty-two psi", "thirty two p s i"),
        ("0,125 l", "zero point one two five litres"),  # no group begins with a zero
        ("7.5–9 Nm", "seven point five to nine newton metres"),  # two numbers, not one longer
        ("20...25 Nm", "twenty to twenty five newton metres"),
        ("–20 °C", "minus twenty degrees celsius"),
        ("- 20 °C", "minus twenty degrees celsius"),
        ("12.6 V", "twelve point six volts"),
    ],
)
def test_figures_become_the_words_in_which_they_are_read(text: str, words: str) -> None:
    assert written_as_words(text) == words


def test_dipstick_words_are_intervals_in_order() -> None:
    said = ["below low", "at the low mark", "near low", "a quarter", "halfway", "three quarters", "near full",
            "at full", "above the full mark"]  # fmt: skip
    levels = [level_of(words) for words in said]
    middles = [(level.lowest + level.highest) / 2 for level in levels]
    assert middles == sorted(middles)
    assert len(set(middles)) == len(middles)
    with pytest.raises(ReadingError):
        level_of("the weather is fine")


@given(st.integers(0, 999_999), st.integers(0, 999))
def test_every_figure_is_read_back_from_its_words(whole: int, thousandths: int) -> None:
    figures = f"{whole}.{thousandths:03}"
    assert quantity_of(written_as_words(figures), "metric").magnitude == Decimal(figures)
    assert quantity_of(written_as_words(f"{whole:,}"), "metric").magnitude == whole


@pytest.mark.parametrize(
    "words",
    ["five twenty", "twelve thirty", "twenty zero", "three point", "three point twenty", "twenty quarters",
     "minus five", "hundred", "five over eight", "thousand thousand", "two and", "three and three",
     "zero hundred and hundred"],
)  # fmt: skip
def test_words_that_make_no_number_together_are_refused(words: str) -> None:
    with pytest.raises(ReadingError):
        quantity_of(words, "metric")


def sentences(says: str, rules: Rules) -> set[str]:
    graph = word_graph(parse_expansion(says), rules)
    found = {0: {""}}

    def reached(point: int) -> set[str]:
        if point not in found:
            found[point] = {f"{before} {step.word}".strip() for step in graph.steps if step.target == point
                            for before in reached(step.source)}  # fmt: skip
            found[point] |= {before for start, end in graph.leaps if end == point for before in reached(start)}
        return found[point]

    return reached(1)


def test_all_that_the_grammar_lets_a_person_say_has_a_value(library: Library) -> None:
    rules = library.rules()
    said = {level_of(words).said for words in sentences("<level>", rules)}
    assert len(said) == 11
    for words in sentences("<unit>", rules):
        assert quantity_of(f"three {words}", "imperial" if words not in ("ton", "tons") else "metric").magnitude == 3
    for words in sentences("<under-thousand> | <part> [of] [a] | <under-hundred> and (a half | a quarter)", rules):
        quantity_of(words, "metric")


@pytest.mark.parametrize(
    ("words", "lowest", "highest"),
    [("just below the minimum", "-0.5", "-0.05"), ("on the maximum mark", "0.9", "1.1"),
     ("half full", "0.375", "0.625"), ("nearly full", "0.75", "1"), ("three quarters full", "0.625", "0.875"),
     ("overfull", "1.05", "1.5")],
)  # fmt: skip
def test_a_level_is_an_interval_of_the_span(words: str, lowest: str, highest: str) -> None:
    # An eighth to either side, and what lies outside the marks: common practice, no source.
    level = level_of(words)
    assert (level.lowest, level.highest) == (Decimal(lowest), Decimal(highest))


@pytest.mark.parametrize("ones", range(3, 10))
def test_a_teen_and_its_ten_are_twins(ones: int) -> None:
    # that these are confused by ear is common practice, no source; the words are num2words'
    teen, ten = (f"one hundred and {num2words(number)} litres" for number in (10 + ones, 10 * ones))
    assert (list(twins_of(teen)), list(twins_of(ten))) == ([ten], [teen])


def test_what_is_no_teen_and_no_ten_has_no_twin() -> None:
    assert not list(twins_of("twelve newton metres"))
    assert list(twins_of("fifty to sixty")) == ["fifteen to sixty", "fifty to sixteen"]


@given(st.integers(10, 999_999))
def test_a_number_said_by_its_digits_is_the_same_number(number: int) -> None:
    words = num2words(number).replace("-", " ").replace(",", "")
    by_digits = digit_by_digit(f"{words} litres")
    assert by_digits == " ".join([*(num2words(int(digit)) for digit in str(number)), "litres"])
    assert quantity_of(by_digits, "metric") == quantity_of(f"{words} litres", "metric")


@given(st.integers(10, 999), st.integers(1, 9))
def test_so_is_one_with_a_decimal(whole: int, tenths: int) -> None:
    # as numbers are spelled out in radiotelephony: ICAO Annex 10, volume II, 5.2.1.4.1 (from memory)
    words = f"{num2words(whole)} point {num2words(tenths)}".replace("-", " ").replace(" and ", " ")
    by_digits = digit_by_digit(f"{words} litres")
    digits = [num2words(int(digit)) for digit in str(whole)]
    assert by_digits == " ".join([*digits, "point", num2words(tenths), "litres"])
    assert quantity_of(by_digits, "metric") == quantity_of(f"{words} litres", "metric")


@pytest.mark.parametrize(
    "words",
    ["fifteen litres", "fifteen point five litres", "fifteen and a half litres", "fifty thousand kilometres"],
)
def test_what_is_asked_for_by_its_digits_can_be_said_so(library: Library, words: str) -> None:
    graph = word_graph(parse_expansion("<quantity>"), library.rules())
    assert parse(graph, digit_by_digit(words).split())
