"""An amount in another unit of its kind. Pure."""

from __future__ import annotations

from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.result import Result
from assistant.core.quantities.units import Amount, convert


def in_unit(value: Amount, to: str, units: str | None = None) -> Result:
    """Return an amount in another unit of its kind; `to` is the unit as it is written, for instance `lbf·ft`;
    `units` says whose a quart is.

    Raises
    ------
    ReadingError
        For a unit that is not known or means two things, and for a unit of another kind.

    References
    ----------
    NIST SP 811, appendix B.8; every factor is exact by definition.
    """
    return Result(
        value=convert(value, read_amount(f"1 {to}", None, units).unit),
        because=f"It is the same {value.kind} in another unit.",
        inputs=(("value", value),),
        source="NIST SP 811, appendix B.8: exact by definition",
    )


CALCULATIONS = (
    Calculation(
        name="convert",
        subject="numbers",
        title="an amount in another unit",
        inputs=(
            Input("value", Form.AMOUNT, "an amount with its unit, typed or in words"),
            Input("to", Form.TEXT, "the unit to give it in, for instance lbf·ft"),
        ),
        work=in_unit,
        example={"value": "twenty-five newton metres", "to": "lbf·ft"},
        formula="factors that are exact by definition",
        source="NIST SP 811, appendix B.8",
        valid="units of one kind; torque is no energy; a temperature is no difference of temperatures",
        reads=True,
        chooses=True,
    ),
)
