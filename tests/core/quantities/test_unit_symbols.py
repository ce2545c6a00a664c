"""How files write units: no symbol is both a unit and doubtful, and the nearest ones are told first."""

from __future__ import annotations

import pytest

from assistant.core.quantities.unit_symbols import AMBIGUOUS, EXAMPLES, WRITTEN, near_units
from assistant.core.quantities.units import SYMBOLS, Kind, amount

pytestmark = pytest.mark.pure


def test_what_could_mean_two_things_is_no_symbol() -> None:
    assert not set(AMBIGUOUS) & set(WRITTEN)
    assert set(SYMBOLS) == set(WRITTEN.values())
    assert all(WRITTEN[symbol] == unit for unit, symbol in SYMBOLS.items())


def test_there_is_an_example_of_every_kind_that_is_one() -> None:
    assert {Kind(kind): amount(text, Kind(kind)).kind for kind, text in EXAMPLES.items()} == {
        kind: kind for kind in Kind
    }


def test_the_nearest_units_come_first_and_no_more_than_five() -> None:
    assert near_units("Nm", ("L", "N·m", "lbf·ft", "kg", "km", "mi", "bar"))[0] == "N·m"
    assert len(near_units("zz", ("L", "N·m", "lbf·ft", "kg", "km", "mi", "bar"))) == 5
