"""Torque against ISO 6789 class A as Facom's S.325DA manual quotes it: 4 % above 10 N·m, 6 % at or below."""

from __future__ import annotations

import pytest

from assistant.core.compute.torque import agrees
from assistant.core.errors import ReadingError
from assistant.core.units import amount

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
        ("30 lbf·ft", "30 N·m", False),
        ("50 N·m", "15 N·m", False),  # the pair that the ear mixes up
    ],
)
def test_what_counts_as_the_wanted_torque(given: str, wanted: str, good: bool) -> None:
    assert agrees(amount(given), amount(wanted)) is good


@pytest.mark.parametrize("given", ["4 L", "0 N·m", "-30 N·m"])
def test_what_is_no_torque_is_refused(given: str) -> None:
    with pytest.raises(ReadingError) as error:
        agrees(amount(given), amount("30 N·m"))
    assert len(error.value.say.split()) <= 15
