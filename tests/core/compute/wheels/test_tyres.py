"""Tyres: what must hold whatever the numbers."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.compute.wheels.tyre_pressure import at_temperature
from assistant.core.compute.wheels.tyre_size import enough, read_size, speedometer
from assistant.core.compute.wheels.tyre_wear import age, rotation, tread
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

TABLES = Library().tables()
AIR = amount("101.325 kPa")
gauges = st.decimals("100", "400", places=0)
degrees = st.decimals("-30", "60", places=0)


def celsius(number: Decimal) -> Amount:
    return Amount(number, "degree_Celsius", Kind.TEMPERATURE)


@given(gauges, degrees, degrees)
def test_pressure_goes_there_and_back_in_any_units(gauge: Decimal, one: Decimal, other: Decimal) -> None:
    cold = Amount(gauge, "kilopascal", Kind.PRESSURE)
    warm = at_temperature(cold, celsius(one), celsius(other), AIR).value
    assert float(at_temperature(warm, celsius(other), celsius(one), AIR).value.magnitude) == pytest.approx(float(gauge))
    assert (warm.magnitude > gauge) == (other > one) or one == other
    foreign = at_temperature(
        convert(cold, "psi"), convert(celsius(one), "degree_Fahrenheit"), celsius(other), convert(AIR, "bar")
    ).value
    assert float(convert(foreign, "kilopascal").magnitude) == pytest.approx(float(warm.magnitude), rel=1e-9)


@given(st.integers(12, 40), st.integers(4, 16), st.integers(13, 21))
def test_the_same_size_leaves_the_speed_and_a_taller_tyre_is_faster(width: int, ratio: int, rim: int) -> None:
    size, taller = f"{width}5/{ratio * 5}R{rim}", f"{width}5/{ratio * 5 + 5}R{rim}"
    shown = amount("100 km/h")
    assert speedometer(size, size, shown).value.magnitude == 100
    faster = speedometer(taller, size, shown)
    assert faster.value.magnitude > 100
    assert faster.cautions == ("A speedometer must never show too little.",)


@pytest.mark.parametrize("code", ["205/55", "hello", "999/55R16", "205/55R99", "205-55-16"])
def test_what_is_no_size_is_refused(code: str) -> None:
    with pytest.raises(ReadingError):
        read_size(code)


def test_a_load_needs_its_index_and_speed_letter() -> None:
    with pytest.raises(ReadingError, match="load index and speed symbol"):
        enough("205/55R16", amount("900 kg"), amount("180 km/h"), TABLES["load-indices"], TABLES["speed-symbols"])


def test_the_tables_rise_and_only_h_is_out_of_order() -> None:
    loads = [int(row["kilograms"]) for row in TABLES["load-indices"]]
    assert loads == sorted(loads) and len(set(loads)) == len(loads)
    letters = [row["symbol"] for row in TABLES["speed-symbols"]]
    assert [letter for letter in letters if letter != "H"] == sorted(letter for letter in letters if letter != "H")
    assert letters.index("H") > letters.index("U")


@pytest.mark.parametrize(("letter", "whole"), [("H", 210), ("V", 210), ("W", 240), ("Y", 270)])
def test_faster_than_its_load_index_holds_for_a_tyre_never_carries_more(letter: str, whole: int) -> None:
    def carried(speed: int) -> Decimal:
        found = enough(
            f"205/55R16 91{letter}", amount("500 kg"), amount(f"{speed} km/h"),
            TABLES["load-indices"], TABLES["speed-symbols"],
        )  # fmt: skip
        load = dict(found.more)["load"]
        assert isinstance(load, Amount)
        return load.magnitude

    assert carried(whole) == carried(100) == 615
    if letter == "Y":
        with pytest.raises(ReadingError, match="ask the tyre's maker"):
            carried(whole + 1)
    elif letter != "H":
        falling = [carried(speed) for speed in range(whole, whole + 31)]
        assert falling == sorted(falling, reverse=True) and falling[0] > falling[-1]


@given(st.dates(date(2000, 1, 10), date(2026, 11, 1)))
def test_a_code_is_read_back_as_the_sunday_of_its_week(made: date) -> None:
    sunday = made - timedelta(days=made.isoweekday() % 7)
    week = (sunday.timetuple().tm_yday - 1) // 7 + 1  # the first Sunday is one of the first seven days
    found = age(f"DOT AB12 {week:02}{sunday.year % 100:02}", date(2026, 11, 25))
    assert dict(found.more)["made"] == sunday.isoformat()


@pytest.mark.parametrize(
    ("code", "hint"),
    [("317", "decade"), ("9926", "no date code"), ("0127", "after"), ("", "no date"), ("5309", "no week 53")],
)
def test_a_code_that_tells_no_day_is_refused(code: str, hint: str) -> None:
    with pytest.raises(ReadingError, match=hint):
        age(code, date(2026, 3, 14))


def test_a_law_that_is_not_known_is_not_guessed() -> None:
    with pytest.raises(ReadingError, match="look it up"):
        tread(amount("3 mm"), "Atlantis", TABLES["tread-limits"])


@pytest.mark.parametrize("drive", ["front", "rear", "all"])
def test_directional_wheels_never_cross_and_different_sizes_stay(drive: str) -> None:
    assert "Never across" in rotation("directional", drive).value
    assert "Leave each axle" in rotation("different sizes", drive).value
