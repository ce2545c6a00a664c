"""Oil in the engine: its volume when hot, a dipstick on a slope, how much is used, filling to an overflow. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, radians, sqrt, tan

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import rows_where
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert, write_amount

_K1 = 0.6278
"""Of group D, lubricating oils, at 15 °C: expansion is K1 over density (ASTM D1250-04, tables 53D and 54D)."""
_BASE = 15


def _correction(density: float, celsius: float) -> float:
    """Return volume at 15 °C over volume at a temperature."""
    grown = _K1 / density * (celsius - _BASE)
    return exp(-grown * (1 + 0.8 * grown))


def expanded(volume: Amount, measured_at: Amount, wanted_at: Amount, density: Amount) -> Result:
    """Return the volume of oil at another temperature; how much it grows or shrinks is `change`.

    Parameters
    ----------
    volume : Amount
        Measured [volume].
    measured_at, wanted_at : Amount
        Temperatures of the oil [temperature], -50 to 150 °C.
    density : Amount
        At 15 °C [density], 800.9 to 1163.5 kg/m³.

    References
    ----------
    ASTM D1250-04 / API MPMS 11.1, group D.
    """
    dense = real(density, "kilogram_per_cubic_metre")
    now, then = (_correction(dense, real(each, "degree_Celsius")) for each in (measured_at, wanted_at))
    grown = real(volume, "litre") * now / then
    value = convert(amount_of(grown, "litre"), volume.unit)
    return Result(
        value=value,
        because="Oil takes more room when it is hot.",
        inputs=(("volume", volume), ("measured-at", measured_at), ("wanted-at", wanted_at), ("density", density)),
        more=(("change", Amount(value.magnitude - volume.magnitude, volume.unit, Kind.VOLUME)),),
        assumptions=("oil for cars has 840 to 880 kg/m³ at 15 °C (from memory): see the data sheet",),
        cautions=("Hot oil burns.",),
        source="ASTM D1250-04, group D",
    )


def on_slope(distance: Amount, angle: Amount, marks: Amount) -> Result:
    """Return by how much a dipstick reads wrong on a slope, as a share of the span; in length as `height`.

    Parameters
    ----------
    distance : Amount
        Of the dipstick's end from the middle of the oil pan, along the slope [length].
    angle : Amount
        Of the car [angle], up to 20°.
    marks : Amount
        Distance between the dipstick's marks [length], above zero.

    References
    ----------
    A level surface turns about the middle of the pan: d·tan θ, for a pan of the same width all along.
    """
    height = real(distance, "millimetre") * tan(radians(real(angle, "degree_of_arc")))
    return Result(
        value=amount_of(100 * height / real(marks, "millimetre"), "percent"),
        because="On a slope the oil stands higher at one end of the pan.",
        inputs=(("distance", distance), ("angle", angle), ("marks", marks)),
        more=(("height", amount_of(height, "millimetre")),),
        also="That share of what lies between the marks, it reads wrong.",
        assumptions=("the pan is as wide all along, and the dipstick stands upright",),
        cautions=("Read the dipstick on level ground.",),
        source="geometry: d·tan θ",
    )


def consumption(
    added: Amount, driven: Amount, accuracy: Amount, fuel: str, oil_consumption_limits: Sequence[Row]
) -> Result:
    """Return how much oil an engine uses in a distance; whether makers call that too much is `judgement`.

    Parameters
    ----------
    added : Amount
        Poured in, between two readings at the same mark [volume].
    driven : Amount
        Between the two [distance], above zero.
    accuracy : Amount
        How far each of the two readings may be off [volume].
    fuel : str
        `petrol` or `diesel`.

    References
    ----------
    Volume over distance; limits of a maker's handbook.
    """
    if driven.magnitude <= 0:
        raise ReadingError("no distance was driven", say="How far did you drive? It must be more than nothing.")
    litres, thousands = real(added, "litre"), real(driven, "kilometre") / 1000
    used, off = litres / thousands, sqrt(2) * real(accuracy, "litre") / thousands
    limit = next(amount(row["limit"]) for row in rows_where(oil_consumption_limits, fuel=fuel))
    bound = real(limit, "litre_per_1000_kilometre")
    judged = "too much" if used - off > bound else "not too much" if used + off <= bound else "too near to tell"
    unit = "litre_per_1000_kilometre"
    miles = driven.unit == "mile" and added.unit == "US_quart"
    value, spread = amount_of(used, unit), amount_of(off, unit)
    return Result(
        value=convert(value, "US_quart_per_1000_mile") if miles else value,
        uncertainty=convert(spread, "US_quart_per_1000_mile") if miles else spread,
        because="It is what you poured in, divided by the distance.",
        inputs=(("added", added), ("driven", driven), ("accuracy", accuracy), ("fuel", fuel)),
        more=(("limit", limit), ("judgement", judged)),
        also="By one maker's limit of {limit}, that is {judgement}.",
        assumptions=("a run-in engine; one maker's limit, others differ: see the handbook",),
        source="a maker's handbook of 2005, page 21",
    )


_STEPS = {
    "overflow plug": "Fill until oil runs out of the level plug. Let it drip dry. Put the plug in, with a new washer.",
    "sight glass": "Fill slowly until the oil stands at the middle of the glass. Wait. Look again.",
}


def by_overflow(way: str, temperature: Amount) -> Finding:
    """Return how a level is set that has no dipstick: a level plug, or a sight glass.

    Parameters
    ----------
    way : str
        `overflow plug` or `sight glass`.
    temperature : Amount
        What the manual asks for [temperature]; without one it refuses, for the level depends on it.
    """
    return Finding(
        value=f"With the oil at {write_amount(temperature)}: {_STEPS[way]}",
        because="There is no dipstick, so the hole or the glass is the mark.",
        inputs=(("way", way), ("temperature", temperature)),
        assumptions=("the car stands level, also when it is raised",),
        cautions=(
            "Open the filler plug before the drain plug: else you may not be able to fill it again.",
            "Raised on four stands, level, never on a jack.",
        ),
        source="common practice, no source; the manual's temperature and steps go before",
    )


_WARMTH = ("-50 °C", "150 °C")

CALCULATIONS = (
    Calculation(
        name="oil-expansion",
        subject="oil-level",
        title="how much room oil takes at another temperature",
        inputs=(
            Input("volume", Kind.VOLUME, "that was measured", least="0.01 L", most="1000 L"),
            Input("measured-at", Kind.TEMPERATURE, "temperature of the oil", *_WARMTH),
            Input("wanted-at", Kind.TEMPERATURE, "for which it is wanted", *_WARMTH),
            Input("density", Kind.DENSITY, "at 15 °C, on the data sheet", "800.9 kg/m³", "1163.5 kg/m³",
                  default="860 kg/m³"),
        ),
        work=expanded,
        example={"volume": "4 L", "measured-at": "20 °C", "wanted-at": "90 °C"},
        formula="exp(−α·ΔT·(1 + 0.8·α·ΔT)), α = 0.6278/ρ",
        source="ASTM D1250-04 / API MPMS 11.1, group D",
        valid="800.9 to 1163.5 kg/m³",
    ),
    Calculation(
        name="dipstick-on-slope",
        subject="oil-level",
        title="by how much a dipstick reads wrong on a slope",
        inputs=(
            Input("distance", Kind.LENGTH, "of the dipstick from the middle of the pan", most="1 m"),
            Input("angle", Kind.ANGLE, "of the ground along it", most="20 °"),
            Input("marks", Kind.LENGTH, "from mark to mark", least="3 mm", most="100 mm"),
        ),
        work=on_slope,
        example={"distance": "150 mm", "angle": "2 °", "marks": "20 mm"},
        formula="d·tan θ",
        source="geometry: arithmetic of a tilted pan",
        valid="pans as wide all along, up to 20°",
    ),
    Calculation(
        name="oil-consumption",
        subject="oil-level",
        title="how much oil an engine uses, and whether that is too much",
        inputs=(
            Input("added", Kind.VOLUME, "poured in between two readings at the same mark", most="20 L"),
            Input("driven", Kind.DISTANCE, "between the two", least="100 km", most="100000 km"),
            Input("accuracy", Kind.VOLUME, "how far a reading may be off", most="1 L", default="0.125 L"),
            Input("fuel", Form.TEXT, "of the engine", default="petrol", options=("petrol", "diesel")),
        ),
        work=consumption,
        example={"added": "0.4 L", "driven": "1600 km"},
        formula="volume/distance",
        source="atlib.info/tools/oil-consumption; limits: a maker's handbook of 2005",
        valid="run-in engines",
        tables=("oil-consumption-limits",),
    ),
    Calculation(
        name="level-by-overflow",
        subject="oil-level",
        title="how a level without a dipstick is set",
        inputs=(
            Input("way", Form.TEXT, "how the level is seen", options=tuple(_STEPS)),
            Input("temperature", Kind.TEMPERATURE, "of the oil, as the manual asks for it", "0 °C", "100 °C"),
        ),
        work=by_overflow,
        example={"way": "overflow plug", "temperature": "35 °C"},
        formula="steps",
        source="common practice, no source",
        valid="gearboxes and axles with a level plug or a glass",
    ),
)  # fmt: skip
