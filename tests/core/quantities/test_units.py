"""Units against published factors, and against the definitions that pint itself brings along.

The factors are those of NIST SP 811 (2008), appendix B.8, as public test suites quote it.
"""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.bolts.torque import agrees
from assistant.core.errors import ReadingError
from assistant.core.quantities.owner_units import for_owner, owner_unit
from assistant.core.quantities.units import (
    SYMBOLS,
    Amount,
    Kind,
    amount,
    convert,
    kind_of,
    write_amount,
)

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("given_text", "unit", "factor"),
    [
        ("1 lbf·ft", "newton_metre", "1.355818"),  # NIST SP 811 B.8: pound-force foot
        ("1 lbf·in", "newton_metre", "0.1129848"),  # NIST SP 811 B.8: pound-force inch
        ("1 kgf·m", "newton_metre", "9.80665"),  # NIST SP 811 B.8: kilogram-force metre, exact
        ("1 psi", "kilopascal", "6.894757"),  # NIST SP 811 B.8: psi
        ("1 US qt", "litre", "0.9463529"),  # NIST SP 811 B.8: quart (US liquid)
        ("1 US gal", "litre", "3.785412"),  # NIST SP 811 B.8: gallon (US)
        ("1 imp gal", "litre", "4.54609"),  # NIST SP 811 B.8: gallon (imperial), exact
        ("1 mi", "kilometre", "1.609344"),  # NIST SP 811 B.8: mile, exact
        ("1 lb", "kilogram", "0.45359237"),  # NIST SP 811 B.8: pound, exact
        ("1 in", "millimetre", "25.4"),  # NIST SP 811 B.8: inch, exact
        ("1 bar", "kilopascal", "100"),  # NIST SP 811 B.8: bar, exact
        ("32 °F", "degree_Celsius", "0"),  # definition of the Fahrenheit scale
        ("212 °F", "degree_Celsius", "100"),
    ],
)
def test_published_factors(given_text: str, unit: str, factor: str) -> None:
    assert float(convert(amount(given_text), unit).magnitude) == pytest.approx(float(factor), rel=1e-6, abs=1e-9)


def test_a_makers_printed_row_within_its_rounding() -> None:
    # Hyundai Accent 2003 service data prints wheel nuts 90-110 N·m = 65-80 lbf·ft; printed sets are rounded, 2.5 %
    for metres, feet in ((90, 65), (110, 80)):
        converted = convert(Amount(Decimal(metres), "newton_metre", Kind.TORQUE), "foot_pound")
        assert float(converted.magnitude) == pytest.approx(feet, rel=0.025)


def test_torque_is_no_energy_and_no_volume() -> None:
    with pytest.raises(ReadingError, match="is a torque"):
        convert(amount("30 N·m"), "litre")
    with pytest.raises(ReadingError):
        amount("30 J")


_PINT = pint.UnitRegistry(non_int_type=Decimal)
"""Pint's own definitions: another hand wrote them, so they check ours."""

_NAMES_IN_PINT = {
    "newton_metre": "newton * meter", "foot_pound": "force_pound * foot", "inch_pound": "force_pound * inch",
    "kilogram_force_metre": "kilogram_force * meter", "US_quart": "quart", "US_pint": "pint", "US_gallon": "gallon",
    "US_fluid_ounce": "fluid_ounce", "tonne": "metric_ton", "degree_Celsius": "degC", "degree_Fahrenheit": "degF",
    "kilogram_force_centimetre": "kilogram_force * centimeter", "degree_of_arc": "degree", "pound_force": "force_pound",
    "kilometre_per_hour": "kilometer / hour", "mile_per_hour": "mile / hour", "square_millimetre": "millimeter ** 2",
    "square_centimetre": "centimeter ** 2", "square_inch": "inch ** 2",
    "kilogram_per_cubic_metre": "kilogram / meter ** 3",
    "gram_per_millilitre": "gram / milliliter", "square_millimetre_per_second": "centistokes",
    "ampere_hour": "ampere * hour", "litre_per_1000_kilometre": "liter / megameter",
    "US_quart_per_1000_mile": "quart / kilomile", "kelvin": "delta_degC", "Fahrenheit_degree": "delta_degF",
}  # fmt: skip


_CALENDAR = {"month", "year"}


def _by_pint(value: Amount, unit: str) -> float:
    names = [_NAMES_IN_PINT.get(name, name) for name in (value.unit, unit)]
    return float(_PINT.Quantity(value.magnitude, names[0]).to(names[1]).magnitude)


@given(st.decimals("0.01", "9999", places=2), st.sampled_from(sorted(set(SYMBOLS) - {"one", "percent"})), st.data())
def test_every_pair_of_units_converts_as_pints_own_definitions_do(
    number: Decimal, unit: str, data: st.DataObject
) -> None:
    value = Amount(number, unit, kind_of(unit))
    alike = [name for name in SYMBOLS if kind_of(name) is value.kind and (name in _CALENDAR) == (unit in _CALENDAR)]
    target = data.draw(st.sampled_from(sorted(alike)))
    assert float(convert(value, target).magnitude) == pytest.approx(_by_pint(value, target), rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("given_text", "unit", "exact"),
    [
        ("1 lbf·ft", "newton_metre", "1.3558179483314004"),  # 0.45359237 x 9.80665 x 0.3048, exact by definition
        ("1 US qt", "litre", "0.946352946"),  # 57.75 cubic inches of 2.54 cm, exact by definition
        ("1 imp qt", "litre", "1.1365225"),  # a quarter of 4.54609 L, exact by definition
        ("68 °F", "degree_Celsius", "20"),  # definition of the scales
    ],
)
def test_what_is_exact_by_definition_is_exact_here(given_text: str, unit: str, exact: str) -> None:
    assert convert(amount(given_text), unit).magnitude == Decimal(exact)


@pytest.mark.parametrize(
    "text",
    ["25", "", "N·m", "abc N·m", "nan N·m", "inf L", "1 qt", "1 pint", "2 gal", "1 ton", "3 quarts", "4,3 L",
     "1_000 km", "1e99999 km", "1e-999 km", "25 J", "2"],
)  # fmt: skip
def test_what_is_ambiguous_or_no_number_is_refused(text: str) -> None:
    with pytest.raises(ReadingError) as error:
        amount(text)
    assert len(error.value.say.split()) <= 15


@pytest.mark.parametrize("written", ["N·m", "N*m", "Nm", "N m", "lbf·ft", "lb-ft", "ft-lb", "lb ft", "ft·lb", "in-lb"])
def test_every_way_to_write_a_torque_is_a_torque_with_or_without_a_space(written: str) -> None:
    assert amount(f"25 {written}").kind is Kind.TORQUE
    assert amount(f"25{written}") == amount(f"25\u202f{written}") == amount(f" 25 {written} ")


def test_a_bare_number_is_a_count_only_where_a_count_is_needed() -> None:
    two = Amount(Decimal(2), "one", Kind.COUNT)
    assert amount("2", Kind.COUNT) == amount("2 ×") == amount("2×") == amount("2 pieces") == two
    with pytest.raises(ReadingError, match="no unit"):
        amount("2", Kind.VOLUME)


def test_a_wrong_kind_is_refused() -> None:
    with pytest.raises(ReadingError, match="a torque is needed"):
        amount("4 L", Kind.TORQUE)


@given(st.decimals("0.001", "99999", places=3), st.sampled_from(sorted(SYMBOLS)))
def test_written_amounts_read_back_the_same(number: Decimal, unit: str) -> None:
    value = Amount(number, unit, kind_of(unit))
    assert amount(write_amount(value)) == value


@given(st.decimals("0.1", "5000", places=2), st.sampled_from(["foot_pound", "inch_pound", "kilogram_force_metre"]))
def test_conversion_goes_there_and_back(number: Decimal, unit: str) -> None:
    value = Amount(number, "newton_metre", Kind.TORQUE)
    back = convert(convert(value, unit), "newton_metre")
    assert abs(back.magnitude - number) < Decimal("1e-18")


def test_an_owner_gets_whole_units() -> None:
    # 30 N·m x 0.737562 (NIST SP 811, inverse of 1.355818) = 22.13
    assert write_amount(for_owner(amount("30 N·m"), "us")) == "22 lbf·ft"
    assert write_amount(for_owner(amount("28 lbf·ft"), "us")) == "28 lbf·ft"


def test_an_owner_hears_no_more_than_a_maker_prints() -> None:
    # 3.8 L poured by a US owner: x 1.056688 (NIST SP 811, inverse of 0.9463529) = 4.015 quarts
    total = convert(amount("3.8 L"), "US_quart")
    assert write_amount(for_owner(total, "us")) == "4.0 US qt"
    assert write_amount(for_owner(amount("4.25 L"), "metric")) == "4.25 L"


@given(st.decimals("2", "400", places=1), st.sampled_from(["newton_metre", "foot_pound", "kilogram_force_metre"]))
def test_a_torque_rounded_for_its_owner_still_is_the_wanted_one(number: Decimal, unit: str) -> None:
    # within what ISO 6789 class A lets a wrench be off; whole units alone would turn 6 N·m into 4 lbf·ft, 10 % less
    wanted = Amount(number, unit, Kind.TORQUE)
    assert agrees(for_owner(wanted, "us"), wanted)
    assert agrees(for_owner(wanted, "metric"), wanted)


def test_an_unknown_system_of_units_is_refused() -> None:
    with pytest.raises(ReadingError, match="metric, imperial, us"):
        owner_unit(Kind.VOLUME, "avoirdupois")


@pytest.mark.parametrize(("duration", "unit"), [("1 month", "day"), ("365 days", "year")])
def test_months_are_no_number_of_days(duration: str, unit: str) -> None:
    with pytest.raises(ReadingError, match="differ in length"):
        convert(amount(duration), unit)
