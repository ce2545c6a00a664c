"""How large the drain pan must be. Pure."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from assistant.core.compute.base.calculation import Calculation
from assistant.core.compute.base.result import Result
from assistant.core.compute.oil.fill import CAPACITY
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

PAN_MARGIN = Decimal("1.25")
"""Ratio of the pan to the capacity, so that it can be carried without spilling. Common practice, no source."""


def least_size(capacity: Amount) -> Result:
    """Return the least volume of the pan, rounded up to a whole unit of the capacity.

    Raises
    ------
    ReadingError
        For a kind other than volume, or a capacity that is not above zero.
    """
    litres = convert(capacity, "litre").magnitude
    if not litres.is_finite() or litres <= 0:
        raise ReadingError(
            f"a capacity of {capacity.magnitude} {capacity.unit} is not above zero: read it in the service manual",
            say="The oil capacity must be more than nothing. Read it again.",
        )
    size = (capacity.magnitude * PAN_MARGIN).to_integral_value(ROUND_CEILING)
    return Result(
        value=Amount(size, capacity.unit, Kind.VOLUME),
        because="It is the capacity and a quarter more, so that nothing spills.",
        inputs=(("capacity", capacity),),
        assumptions=("the pan holds a quarter more than the capacity (common practice, no source)",),
        source="common practice, no source",
    )


CALCULATIONS = (
    Calculation(
        name="drain-pan",
        subject="oil-level",
        title="how large the drain pan must be",
        inputs=(CAPACITY,),
        work=least_size,
        example={"capacity": "4.3 L"},
        formula="1.25·capacity, rounded up",
        source="common practice, no source",
        valid="a pan that is carried by hand",
    ),
)
