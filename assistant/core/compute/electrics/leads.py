"""What flows in a lead: how thick jump leads must be, and what a lamp takes and needs as a fuse. Pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Input
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

COPPER = 0.017
"""Resistivity of copper at 25 °C [ohm square millimetre per metre] (jaydeeautocables.com)."""
SIZES = (16, 25, 35, 50)
"""Sections of jump leads [square millimetre] (16 and 25: audimanual.ru; 25 and 35: a handbook of 2011)."""
FUSES = tuple(map(Decimal, ("2", "3", "5", "7.5", "10", "15", "20", "25", "30", "40", "50", "60", "70", "80")))
"""Blade fuses [ampere] (ukmotorfactors.co.uk names their ranges; the steps are common practice, no source)."""
FUSE_MARGIN = Decimal("1.25")
"""Least fuse by the continuous current (ukmotorfactors.co.uk)."""


def section(current: Amount, length: Amount, drop: Amount) -> Result:
    """Return the least section of jump leads [square millimetre]; the next one that is sold is `size`.

    Parameters
    ----------
    current : Amount
        That the starter takes [current].
    length : Amount
        Of one lead [length]; the current goes there and back.
    drop : Amount
        Voltage that may be lost in both [voltage], above zero.

    Raises
    ------
    ReadingError
        Where no such lead is sold.

    References
    ----------
    A = ρ·2·L·I/U.
    """
    needed = COPPER * 2 * real(length, "metre") * real(current, "ampere") / real(drop, "volt")
    size = next((each for each in SIZES if each >= needed), None)
    if size is None:
        raise ReadingError(
            f"{needed:.3g} mm² would be needed, and leads of at most {SIZES[-1]} mm² are sold: take shorter ones, or "
            "charge the flat battery first",
            say="No such leads are sold. Take shorter ones, or charge it first.",
        )
    return Result(
        value=amount_of(needed, "square_millimetre"),
        because="A thin or long lead loses voltage, and grows hot.",
        inputs=(("current", current), ("length", length), ("drop", drop)),
        more=(("size", amount_of(size, "square_millimetre")),),
        also="Take leads of {size}.",
        assumptions=("pure copper at 25 °C, and good clamps", "handbooks ask for 25 mm² at least, 35 mm² for a diesel"),
        cautions=("Both batteries of twelve volts. The last black clamp goes to bare metal of the engine.",),
        source="A = ρ·2·L·I/U",
    )


def lamp(watts: Amount, voltage: Amount) -> Result:
    """Return the current of a lamp [ampere]; the least fuse is `at least`, and the next one that is sold `fuse`.

    Parameters
    ----------
    watts : Amount
        Of all lamps behind the fuse, as a plain number of watts [count], above zero.
    voltage : Amount
        For which they are rated [voltage], above zero.
    """
    flows = watts.magnitude / convert(voltage, "volt").magnitude
    least = flows * FUSE_MARGIN
    fuse = next((each for each in FUSES if each >= least), None)
    if fuse is None or flows <= 0:
        raise ReadingError(
            f"no blade fuse bears {least:.3g} A: that many lamps need more than one fuse",
            say="No fuse fits that. Read the watts again.",
        )
    return Result(
        value=Amount(flows, "ampere", Kind.CURRENT),
        because="It is the watts, divided by the volts.",
        inputs=(("watts", watts), ("voltage", voltage)),
        more=(("at least", Amount(least, "ampere", Kind.CURRENT)), ("fuse", Amount(fuse, "ampere", Kind.CURRENT))),
        also="The next fuse that bears it for long has {fuse}.",
        assumptions=("a quarter more than flows for long (ukmotorfactors.co.uk)",),
        cautions=("A fuse protects the wire. Never fit a greater one than the lid of the box names.",),
        source="I = P/U",
    )


CALCULATIONS = (
    Calculation(
        name="jump-leads",
        subject="battery",
        title="how thick jump leads must be",
        inputs=(
            Input("current", Kind.CURRENT, "that the starter takes", least="10 A", most="1500 A"),
            Input("length", Kind.LENGTH, "of one lead", least="0.5 m", most="10 m"),
            Input("drop", Kind.VOLTAGE, "that may be lost in both", least="0.1 V", most="3 V", default="1 V"),
        ),
        work=section,
        example={"current": "200 A", "length": "3 m"},
        formula="ρ·2·L·I/U, ρ = 0.017 Ω·mm²/m",
        source="jaydeeautocables.com; a loss of one volt is common practice",
        valid="copper leads",
    ),
    Calculation(
        name="lamp-current",
        subject="battery",
        title="what lamps take, and which fuse bears it",
        inputs=(
            Input("watts", Kind.COUNT, "of all lamps together, as a plain number", least="1", most="800"),
            Input("voltage", Kind.VOLTAGE, "for which they are rated", least="6 V", most="24 V", default="12 V"),
        ),
        work=lamp,
        example={"watts": "55"},
        formula="P/U; fuse at least 1.25·I",
        source="ukmotorfactors.co.uk",
        valid="lamps; motors need more at their start",
    ),
)
