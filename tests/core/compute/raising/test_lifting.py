"""Loads by arithmetic; the 60/40 split is a weak source (a trade page), the margin common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.compute.raising.lifting import axle_load, stand_rating
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

pytestmark = pytest.mark.pure


def test_axle_share_is_arithmetic() -> None:
    # 1400 kg at 60/40: front 840, one front corner 420
    assert axle_load(amount("1400 kg")).magnitude == 840
    assert stand_rating(amount("1400 kg")).value.magnitude == 630


@given(st.decimals("662", "11000", places=1))
def test_a_stand_is_never_rated_below_its_load_and_margin(pounds: Decimal) -> None:
    mass = Amount(pounds, "pound", Kind.MASS)
    for value in (mass, convert(mass, "kilogram"), convert(mass, "tonne")):
        rating = stand_rating(value).value
        assert convert(rating, "pound").magnitude >= pounds * Decimal("0.45")  # 0.6 / 2 x 1.5


def test_a_rating_is_rounded_up() -> None:
    assert stand_rating(amount("1341 kg")).value == amount("604 kg")  # 603.45
    assert stand_rating(amount("1.341 t")).value == amount("0.604 t")


@pytest.mark.parametrize("mass", ["0 kg", "-1 kg", "60 kg", "40000 kg", "4 L"])
def test_impossible_cars_are_refused(mass: str) -> None:
    with pytest.raises(ReadingError) as error:
        stand_rating(amount(mass))
    assert len(error.value.say.split()) <= 15


@pytest.mark.parametrize("mass", ["NaN", "Infinity"])
def test_no_mass_at_all_is_refused(mass: str) -> None:
    with pytest.raises(ReadingError, match="plate"):
        stand_rating(Amount(Decimal(mass), "kilogram", Kind.MASS))


@pytest.mark.parametrize("share", ["0", "1", "-0.4", "60", "NaN"])
def test_impossible_shares_are_refused(share: str) -> None:
    with pytest.raises(ReadingError, match="plate"):
        axle_load(amount("1400 kg"), Decimal(share))
