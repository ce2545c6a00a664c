"""Coolant: when it freezes, how much glycol is in it, how to bring it to a share. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import between, points
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

DENSITY = {"ethylene": 1.1135, "propylene": 1.0362}
"""Densities of the pure glycols at 20 °C [g/mL]; general handbooks of chemistry, from memory. Water has 0.9982."""

_WATER = 0.9982
_APART = {"volume": Decimal("1.5"), "mass": Decimal(3)}
"""How far published tables lie apart [K]: Lange's from ASHRAE by volume, Melinder from ASHRAE by mass."""
_BOTTLE = "Coolant is poisonous, and sweet to animals. Never open a hot system."
_CHART = "the chart on the bottle goes before this: inhibitors shift it"


def _by_mass_to_volume(percent: float, glycol: str) -> float:
    parts, water = percent / DENSITY[glycol], (100 - percent) / _WATER
    return 100 * parts / (parts + water)


def freezing_point(share: Amount, by: str, glycol: str, glycol_freezing: Sequence[Row]) -> Result:
    """Return the temperature at which ice begins to form.

    Parameters
    ----------
    share : Amount
        Of glycol in the mixture [share].
    by : str
        `volume` or `mass`.
    glycol : str
        `ethylene` or `propylene`.

    Raises
    ------
    ReadingError
        Outside of the table: 4 to 58 % by volume of ethylene, 5 to 60 % of propylene glycol.

    References
    ----------
    ASHRAE data, interpolated.
    """
    percent = real(share, "percent")
    volume = _by_mass_to_volume(percent, glycol) if by == "mass" else percent
    line = points(glycol_freezing, "percent", "celsius", glycol=glycol)
    return Result(
        value=amount_of(between(volume, line, "share"), "degree_Celsius"),
        uncertainty=Amount(_APART[by], "kelvin", Kind.TEMPERATURE_DIFFERENCE),
        because="I looked it up between the lines of the table.",
        inputs=(("share", share), ("by", by), ("glycol", glycol)),
        more=(("by volume", amount_of(volume, "percent")),),
        assumptions=(_CHART, *(("volumes of glycol and water add up",) if by == "mass" else ())),
        cautions=(_BOTTLE,),
        source="ASHRAE data",
    )


def share_for(temperature: Amount, glycol: str, glycol_freezing: Sequence[Row]) -> Result:
    """Return the share by volume that just protects down to a temperature. Errors are those of `freezing_point`."""
    line = points(glycol_freezing, "celsius", "percent", glycol=glycol)
    return Result(
        value=amount_of(between(real(temperature, "degree_Celsius"), line[::-1], "temperature"), "percent"),
        because="I looked it up between the lines of the table.",
        inputs=(("temperature", temperature), ("glycol", glycol)),
        assumptions=(_CHART,),
        cautions=(_BOTTLE,),
        source="ASHRAE data",
    )


def exchange(system: Amount, present: Amount, wanted: Amount) -> Result:
    """Return how much to draw off and replace: with concentrate to make it stronger, else with water (`with`).

    Parameters
    ----------
    system : Amount
        What the whole system holds [volume], above zero.
    present, wanted : Amount
        Share of glycol by volume now and afterwards [share], below 100 %.

    Raises
    ------
    ReadingError
        Where the wanted share is above 60 %, beyond which protection gets worse.
    """
    now, then = (convert(each, "percent").magnitude / 100 for each in (present, wanted))
    if then > Decimal("0.6"):
        raise ReadingError(
            f"a share of {wanted.magnitude} % protects less than 60 %: choose at most 60 %",
            say="More than sixty percent protects less. Choose at most sixty percent.",
        )
    stronger = then > now
    part = (then - now) / (1 - now) if stronger else (now - then) / now if now else Decimal(0)
    return Result(
        value=Amount(system.magnitude * part, system.unit, Kind.VOLUME),
        because=f"Draw off that much, and fill up with {'concentrate' if stronger else 'clean water'}.",
        inputs=(("system", system), ("present", present), ("wanted", wanted)),
        more=(("with", "concentrate" if stronger else "clean water"),),
        assumptions=("it is well mixed before it is drawn off", "volumes add up", "concentrate is all glycol"),
        cautions=(_BOTTLE, "Catch all of it, and take it to a collector."),
        source="arithmetic of mixtures",
    )


def mixture(concentrate: Amount, water: Amount) -> Result:
    """Return the share by volume of glycol when concentrate and water are put together."""
    glycol, whole = concentrate.magnitude, concentrate.magnitude + convert(water, concentrate.unit).magnitude
    if whole <= 0:
        raise ReadingError("nothing and nothing make no mixture", say="Tell me an amount of coolant above nothing.")
    return Result(
        value=Amount(100 * glycol / whole, "percent", Kind.SHARE),
        because="It is the concentrate, divided by all of it.",
        inputs=(("concentrate", concentrate), ("water", water)),
        assumptions=("volumes add up", "concentrate is all glycol"),
        cautions=(_BOTTLE,),
        source="arithmetic of mixtures",
    )


_GLYCOL = Input("glycol", Form.TEXT, "which one; see the bottle", default="ethylene", options=("ethylene", "propylene"))
_ASHRAE = "ASHRAE data, as CoolProp keeps them"

CALCULATIONS = (
    Calculation(
        name="coolant-freezing",
        subject="fluids",
        title="when a mixture of glycol and water freezes",
        inputs=(
            Input("share", Kind.SHARE, "of glycol", most="100 %"),
            Input("by", Form.TEXT, "what the share is of", default="volume", options=("volume", "mass")),
            _GLYCOL,
        ),
        work=freezing_point,
        example={"share": "50 %"},
        formula="straight lines between the points of the table",
        source=_ASHRAE,
        valid="4 to 58 % by volume of ethylene glycol, 5 to 60 % of propylene glycol",
        tables=("glycol-freezing",),
    ),
    Calculation(
        name="coolant-share",
        subject="fluids",
        title="how much glycol protects down to a temperature",
        inputs=(Input("temperature", Kind.TEMPERATURE, "the coldest", least="-60 °C", most="0 °C"), _GLYCOL),
        work=share_for,
        example={"temperature": "-30 °C"},
        formula="straight lines between the points of the table",
        source=_ASHRAE,
        valid="-1.4 to -48.3 °C with ethylene glycol, -1.6 to -51.1 °C with propylene glycol",
        tables=("glycol-freezing",),
    ),
    Calculation(
        name="coolant-exchange",
        subject="fluids",
        title="how much coolant to draw off and replace",
        inputs=(
            Input("system", Kind.VOLUME, "what the whole system holds", least="0.5 L", most="60 L"),
            Input("present", Kind.SHARE, "of glycol by volume now", most="99 %"),
            Input("wanted", Kind.SHARE, "of glycol by volume afterwards", most="100 %"),
        ),
        work=exchange,
        example={"system": "6 L", "present": "30 %", "wanted": "50 %"},
        formula="V·(c2−c1)/(1−c1), or V·(c1−c2)/c1",
        source="arithmetic of mixtures",
        valid="up to 60 %",
    ),
    Calculation(
        name="coolant-mixture",
        subject="fluids",
        title="the share of glycol when concentrate and water are put together",
        inputs=(
            Input("concentrate", Kind.VOLUME, "of the bottle", most="60 L"),
            Input("water", Kind.VOLUME, "to it", most="60 L"),
        ),
        work=mixture,
        example={"concentrate": "2 L", "water": "3 L"},
        formula="V1/(V1+V2)",
        source="arithmetic of mixtures",
        valid="volumes taken to add up",
    ),
)
