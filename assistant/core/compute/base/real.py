"""Amounts as floating-point numbers, for powers, logarithms and angles, and back. Pure."""

from __future__ import annotations

from decimal import Context, Decimal

from assistant.core.quantities.units import Amount, convert, kind_of

_DIGITS = Context(prec=12)
"""Digits kept of a floating-point result: what is behind them is noise."""


def real(value: Amount, unit: str) -> float:
    """Return the magnitude of an amount in a unit; ReadingError for another kind."""
    return float(convert(value, unit).magnitude)


def plainly(number: Decimal) -> Decimal:
    """Return a number without zeros behind its point, without an exponent, and with no sign at zero."""
    return Decimal(f"{number.normalize() if number else Decimal(0):f}")


def amount_of(number: float, unit: str) -> Amount:
    """Return a floating-point number as an amount, with twelve digits."""
    plain = _DIGITS.create_decimal(Decimal(number)).normalize(_DIGITS)
    return Amount(Decimal(f"{plain:f}"), unit, kind_of(unit))
