"""What to set a torque wrench to where an adapter makes its lever longer or shorter. Pure."""

from __future__ import annotations

from decimal import Decimal
from math import cos, radians

from assistant.core.compute.base.calculation import Calculation, Input
from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_PLACES = Decimal("1e-9")


def wrench_setting(wanted: Amount, lever: Amount, adapter: Amount, angle: Amount) -> Result:
    """Return what to set the wrench to, so that the bolt gets the wanted torque through an adapter.

    Parameters
    ----------
    wanted : Amount
        Torque at the bolt [torque], above zero.
    lever : Amount
        From the middle of the hand to the square drive [length], above zero.
    adapter : Amount
        From the square drive to the middle of the bolt [length].
    angle : Amount
        Between the adapter and the line of the wrench [angle]: 0° carries on straight, 90° stands square, 180° points
        back to the hand.

    Returns
    -------
    Result
        A torque [unit of the wanted one].

    Raises
    ------
    ReadingError
        For a lever or torque of nothing, and for an adapter that ends beside the hand, where the wrench turns nothing.

    References
    ----------
    T·L/(L + E·cos θ): the manual of a torque wrench prints it for 0° (Performance Tool M199, page 7).
    """
    long, more = lever.magnitude, convert(adapter, lever.unit).magnitude
    turned = float(convert(angle, "degree_of_arc").magnitude)
    arm = long + more * Decimal(cos(radians(turned))).quantize(_PLACES)
    if wanted.magnitude <= 0 or long <= 0 or arm < long / 4:
        raise ReadingError(
            f"a lever of {long} {lever.unit} with an adapter of {more} {lever.unit} at {turned:g}° leaves an arm of "
            f"{arm:.4g} {lever.unit}: at least a quarter of the lever must be left",
            say="That adapter leaves too little lever. Set it square to the wrench.",
        )
    return Result(
        value=Amount(wanted.magnitude * long / arm, wanted.unit, Kind.TORQUE),
        because="The adapter changes the length of the lever, so the wrench must be set otherwise.",
        inputs=(("wanted", wanted), ("lever", lever), ("adapter", adapter), ("angle", angle)),
        assumptions=("you pull at the middle of the grip, square to the wrench (manual of the wrench)",),
        cautions=("Never put a pipe on the handle.",),
        source="T·L/(L + E·cos θ), manual of a torque wrench",
    )


CALCULATIONS = (
    Calculation(
        name="wrench-setting",
        subject="torque",
        title="what to set a torque wrench to with a crow-foot or another adapter",
        inputs=(
            Input("wanted", Kind.TORQUE, "torque at the bolt", least="0.5 N·m", most="1000 N·m"),
            Input("lever", Kind.LENGTH, "from the middle of the grip to the square drive", least="50 mm", most="2 m"),
            Input("adapter", Kind.LENGTH, "from the square drive to the middle of the bolt", most="1 m"),
            Input("angle", Kind.ANGLE, "0° straight on, 90° square to it, 180° back", most="180 °", default="0 °"),
        ),
        work=wrench_setting,
        example={"wanted": "50 lbf·ft", "lever": "16 in", "adapter": "2 in"},
        formula="T·L/(L + E·cos θ)",
        source="manual of a torque wrench (Performance Tool M199, page 7)",
        valid="arm of at least a quarter of the lever; a straight socket extension needs no correction",
    ),
)
