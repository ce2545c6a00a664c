"""Whether a torque that was given is the torque that is wanted. Pure functions over torques."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert


def permissible_deviation(wanted: Amount) -> Decimal:
    """Return the share by which a torque wrench may be off at a torque.

    References
    ----------
    ISO 6789, type II class A: 4 % above 10 N·m, 6 % at or below (as a wrench maker's manual quotes it).
    """
    return Decimal("0.04") if convert(wanted, "newton_metre").magnitude > 10 else Decimal("0.06")


def agrees(given: Amount, wanted: Amount) -> bool:
    """Return whether a torque is the wanted one, within what the wrench itself may be off.

    Parameters
    ----------
    given, wanted : Amount
        Torques [any unit of torque], above zero.

    Raises
    ------
    ReadingError
        For another kind than torque (energy has no unit here), or a torque that is not above zero.
    """
    for torque in (given, wanted):
        if torque.kind is not Kind.TORQUE:
            raise ReadingError(f"a {torque.kind} is not a torque", say=f"That is a {torque.kind}. I need a torque.")
        if not torque.magnitude.is_finite() or torque.magnitude <= 0:
            raise ReadingError(
                f"a torque of {torque.magnitude} {torque.unit} tightens nothing: it must be above zero",
                say="A torque must be more than nothing. Read it again.",
            )
    exact = convert(wanted, given.unit).magnitude
    return abs(given.magnitude - exact) <= exact * permissible_deviation(wanted)
