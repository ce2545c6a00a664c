"""Exact amounts to floating-point numbers and back."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.core.compute.base.real import amount_of, plainly, real
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import amount

pytestmark = pytest.mark.pure


def test_noise_behind_twelve_digits_is_left_out_and_nothing_else() -> None:
    assert amount_of(0.1 + 0.2, "litre") == amount("0.3 L")
    assert amount_of(1234567.89012, "kilometre").magnitude == Decimal("1234567.89012")
    assert real(amount("25.4 mm"), "inch") == 1.0
    with pytest.raises(ReadingError):
        real(amount("25 N·m"), "litre")


@pytest.mark.parametrize(("number", "plain"), [("1.500", "1.5"), ("1E+3", "1000"), ("-0.00", "0"), ("100", "100")])
def test_a_number_is_written_plainly(number: str, plain: str) -> None:
    assert str(plainly(Decimal(number))) == plain
