"""What stands must carry. Pure functions over masses; the vehicle's own plate goes before any default."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

FRONT_SHARE = Decimal("0.6")
"""Share of a passenger car's mass on the front axle, where its plate is not known.

Weak source: a trade page says that most have about 60 % in front; no published measurement was found."""

STAND_MARGIN = Decimal("1.5")
"""Least ratio of the rating of one stand to the load on its corner. Common practice, no source."""


def axle_load(mass: Amount, share: Decimal = FRONT_SHARE) -> Amount:
    """Return the load on one axle [unit of the mass].

    Parameters
    ----------
    mass : Amount
        Mass of the car with its fluids [mass], 300 to 5000 kg.
    share : Decimal
        Share of it on that axle, above 0 and below 1.

    Raises
    ------
    ReadingError
        Outside those ranges.
    """
    kilograms = convert(mass, "kilogram").magnitude
    if not kilograms.is_finite() or not 300 <= kilograms <= 5000:
        raise ReadingError(
            f"a car of {mass.magnitude} {mass.unit} is outside 300 kg to 5000 kg: read its plate again",
            say="That can't be the mass of a car. Look at the plate.",
        )
    if not share.is_finite() or not 0 < share < 1:
        raise ReadingError(
            f"a share of {share} on one axle is outside 0 to 1: work it out from the axle loads on the plate",
            say="That can't be the share of one axle. Look at the plate.",
        )
    return Amount(mass.magnitude * share, mass.unit, Kind.MASS)


def stand_rating(mass: Amount, share: Decimal = FRONT_SHARE) -> Result:
    """Return the least rating of each of two stands under one axle: half the axle's load, with margin 1.5.

    It is in the unit of the mass, rounded up to a whole kilogram or pound. Parameters and errors are those of
    `axle_load`. Whether a stamp speaks of one stand or of the pair differs, so the person is asked for one stand's.
    """
    each = axle_load(mass, share).magnitude / 2 * STAND_MARGIN
    whole = Decimal("0.001") if mass.unit == "tonne" else Decimal(1)
    return Result(
        value=Amount(each.quantize(whole, ROUND_CEILING), mass.unit, Kind.MASS),
        because="It is half of the load on that axle, and half as much again for safety.",
        inputs=(("mass", mass),),
        assumptions=(
            f"{share} of the mass is on that axle",
            f"each stand is rated {STAND_MARGIN} times its load (common practice, no source)",
        ),
        source="HSE, Working under vehicles: never above the rated capacity",
    )
