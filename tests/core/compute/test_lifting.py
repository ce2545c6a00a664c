"""Loads by arithmetic; the 60/40 split is a weak source (a trade page), the margin common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.core.compute.lifting import axle_load, stand_rating
from assistant.core.errors import ReadingError
from assistant.core.units import amount

pytestmark = pytest.mark.pure


def test_axle_share_is_arithmetic() -> None:
    # 1400 kg at 60/40: front 840, one front corner 420
    assert axle_load(amount("1400 kg")).magnitude == 840
    assert stand_rating(amount("1400 kg")).value.magnitude == 630


def test_a_stand_is_never_rated_below_its_load() -> None:
    for mass in (900, 1340, 2200, 4800):
        value = amount(f"{mass} kg")
        assert stand_rating(value).value.magnitude >= axle_load(value).magnitude / 2 * Decimal("1.49")


@pytest.mark.parametrize("mass", ["0 kg", "-1 kg", "60 kg", "40000 kg", "4 L"])
def test_impossible_cars_are_refused(mass: str) -> None:
    with pytest.raises(ReadingError):
        stand_rating(amount(mass))
