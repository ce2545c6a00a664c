"""Units against published factors: NIST SP 811 (2008) appendix B.8, as public test suites quote it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.errors import ReadingError
from assistant.core.units import SYMBOLS, Amount, Kind, amount, convert, for_owner, kind_of, write_amount

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


@pytest.mark.parametrize("text", ["25", "", "N·m", "abc N·m", "nan N·m", "inf L", "1 qt", "1 pint", "2 gal", "1 ton"])
def test_what_is_ambiguous_or_no_number_is_refused(text: str) -> None:
    with pytest.raises(ReadingError):
        amount(text)


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
