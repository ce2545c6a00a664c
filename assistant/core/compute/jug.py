"""Volumes as a jug measures them: its graduation, and amounts rounded down to it. Pure."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_GRADUATIONS = {"metric": ("0.1", "litre"), "imperial": ("0.25", "imperial_pint"), "us": ("0.1", "US_quart")}


def graduation(system: str) -> Amount:
    """Return the smallest step that the owner's jug shows. Common practice, no source."""
    if system not in _GRADUATIONS:
        raise ReadingError(
            f"the system of units {system!r} is not known: choose {', '.join(_GRADUATIONS)}",
            say="I do not know that system of units. Choose metric, imperial or us.",
        )
    step, unit = _GRADUATIONS[system]
    return Amount(Decimal(step), unit, Kind.VOLUME)


def volume_in(volume: Amount, unit: str) -> Decimal:
    """Return the magnitude of a volume in a unit of volume; ReadingError for another kind."""
    convert(volume, "litre")  # also refuses what is no volume but is asked for in its own unit
    return convert(volume, unit).magnitude


def round_down(volume: Amount, step: Amount) -> Amount:
    """Return a volume rounded down to whole steps, in the unit of the step.

    Raises
    ------
    ReadingError
        Where either is no volume, or the step is not above zero.
    """
    given = volume_in(volume, step.unit)
    if not step.magnitude.is_finite() or step.magnitude <= 0:
        raise ReadingError(
            f"a jug can't be graduated in steps of {step.magnitude} {step.unit}: they are above zero",
            say="The marks on the jug must be more than nothing apart. Read them again.",
        )
    steps = (given / step.magnitude).to_integral_value(ROUND_FLOOR)
    return Amount(steps * step.magnitude, step.unit, Kind.VOLUME)
