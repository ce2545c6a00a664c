"""Torque against ISO 6789 class A as Facom's S.325DA manual quotes it: 4 % above 10 N·m, 6 % at or below."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.bolts.torque import agrees, permissible_deviation
from assistant.core.errors import ReadingError
from assistant.core.quantities.owner_units import for_owner
from assistant.core.quantities.units import Amount, Kind, amount, convert

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("given", "wanted", "good"),
    [
        ("105.6 N·m", "110 N·m", True),  # ISO 6789 bounds of 110 N·m: 105.6 to 114.4
        ("114.4 N·m", "110 N·m", True),
        ("105.5 N·m", "110 N·m", False),
        ("114.5 N·m", "110 N·m", False),
        ("7.52 N·m", "8 N·m", True),  # ISO 6789 bounds of 8 N·m: 7.52 to 8.48
        ("8.48 N·m", "8 N·m", True),
        ("7.5 N·m", "8 N·m", False),
        ("10.6 N·m", "10 N·m", True),  # at 10 N·m it is still 6 %
        ("22 lbf·ft", "30 N·m", True),  # 22 lbf·ft = 29.83 N·m (NIST SP 811)
        ("3.7 lbf·ft", "5 N·m", True),  # 3.69 lbf·ft (NIST SP 811)
        ("4 lbf·ft", "5 N·m", False),  # 5.42 N·m, 8 % too much
        ("30 lbf·ft", "30 N·m", False),
        ("50 N·m", "15 N·m", False),  # the pair that the ear mixes up
    ],
)
def test_what_counts_as_the_wanted_torque(given: str, wanted: str, good: bool) -> None:
    assert agrees(amount(given), amount(wanted)) is good


_OTHERS = {"newton_metre": "us", "foot_pound": "metric"}


@given(st.decimals("2", "500", places=1), st.sampled_from(sorted(_OTHERS)))
def test_rounding_for_another_scale_stays_within_the_wrench(newton_metres: Decimal, unit: str) -> None:
    wanted = convert(Amount(newton_metres, "newton_metre", Kind.TORQUE), unit)
    told = for_owner(wanted, _OTHERS[unit])
    off = abs(convert(told, unit).magnitude / wanted.magnitude - 1)
    assert off <= permissible_deviation(wanted) + Decimal("1e-20")  # conversions have 28 digits


@given(st.decimals("2", "500", places=2), st.sampled_from(sorted(_OTHERS)))
def test_the_torque_that_was_told_is_never_refused(magnitude: Decimal, unit: str) -> None:
    wanted = Amount(magnitude, unit, Kind.TORQUE)
    for system in ("metric", "us"):
        assert agrees(for_owner(wanted, system), wanted)


@given(st.decimals("1", "500", places=1), st.decimals("0.1", "3", places=2))
def test_it_does_not_matter_in_which_unit_a_torque_is_given(wanted: Decimal, ratio: Decimal) -> None:
    right, said = (Amount(number, "newton_metre", Kind.TORQUE) for number in (wanted, wanted * ratio))
    if abs(abs(ratio - 1) - permissible_deviation(right)) > Decimal("1e-9"):
        assert agrees(convert(said, "kilogram_force_metre"), right) is agrees(said, right)


@pytest.mark.parametrize("given", ["4 L", "0 N·m", "-30 N·m"])
def test_what_is_no_torque_is_refused(given: str) -> None:
    with pytest.raises(ReadingError) as error:
        agrees(amount(given), amount("30 N·m"))
    assert len(error.value.say.split()) <= 15
