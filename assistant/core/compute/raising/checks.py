"""Raising a car: what rests on each axle and corner, whether a rating is enough, how steep a ramp is. Pure."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal
from math import atan, degrees

from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.compute.raising.lifting import STAND_MARGIN, axle_load, stand_rating
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

_UNDER = "Never be under a car that only a jack holds. Firm level ground, wheels chocked."
_SPLIT = "60 % in front where the plate tells nothing (weak source: a trade page)"


def on_axle(mass: Amount, share: Amount) -> Result:
    """Return the load on one axle, and on each of its corners under `corner`, if both sides are alike.

    Parameters
    ----------
    mass : Amount
        Of the car with all that is in it [mass], 300 to 5000 kg.
    share : Amount
        Of it on that axle [share].
    """
    load = axle_load(mass, convert(share, "percent").magnitude / 100)
    return Result(
        value=load,
        because="It is the mass, times the share on that axle.",
        inputs=(("mass", mass), ("share", share)),
        more=(("corner", Amount(load.magnitude / 2, load.unit, Kind.MASS)),),
        also="Each corner carries {corner}.",
        assumptions=(_SPLIT, "left and right carry the same"),
        cautions=(_UNDER,),
        source="arithmetic; the axle loads on the plate go before",
    )


def stand(mass: Amount, share: Amount) -> Result:
    """Return the least rating of each of two stands under an axle. Parameters are those of `on_axle`."""
    return stand_rating(mass, convert(share, "percent").magnitude / 100)


def by_moments(mass: Amount, gravity_from_front: Amount, wheelbase: Amount) -> Result:
    """Return the load on the rear axle by the place of the centre of gravity; the rest is `front`.

    ReadingError for a centre that does not lie between the axles.

    References
    ----------
    Moments about the front axle, as a lorry maker's body builder's manual prints them.
    """
    part = convert(gravity_from_front, "millimetre").magnitude / convert(wheelbase, "millimetre").magnitude
    if not 0 < part < 1:
        raise ReadingError(
            f"a centre of gravity {write_amount(gravity_from_front)} behind the front axle is not between the axles",
            say="The centre of gravity must lie between the axles. Measure again.",
        )
    rear = mass.magnitude * part
    return Result(
        value=Amount(rear, mass.unit, Kind.MASS),
        because="It is the mass, times the distance from the front axle, divided by the wheelbase.",
        inputs=(("mass", mass), ("gravity-from-front", gravity_from_front), ("wheelbase", wheelbase)),
        more=(("front", Amount(mass.magnitude - rear, mass.unit, Kind.MASS)),),
        also="The front axle carries {front}.",
        cautions=(_UNDER,),
        source="moments about the front axle",
    )


def check(load: Amount, rating: Amount, stamped: str) -> Finding:
    """Return whether two stands, two ramps or a jack carry an axle; what is needed of each is `needed`.

    Parameters
    ----------
    load : Amount
        On the axle that is raised [mass].
    rating : Amount
        What is stamped on the stand, ramp or jack [mass].
    stamped : str
        Whether that is for `each` or for the `pair`, or it is a `jack`; with `unknown` it refuses and asks.
    """
    if stamped == "unknown":
        raise ReadingError(
            "whether a rating is for one or for the pair doubles it: read the label or the maker's page",
            say="Is that for one, or for the pair? Read the label.",
        )
    alone = Decimal(1) if stamped == "jack" else Decimal(2)
    needed = (load.magnitude / alone * STAND_MARGIN).quantize(Decimal("0.001"), ROUND_CEILING)
    each = convert(rating, load.unit).magnitude / (2 if stamped == "pair" else 1)
    enough = each >= needed
    least = write_amount(Amount(Decimal(f"{needed.normalize():f}"), load.unit, Kind.MASS))
    kind = "The jack" if stamped == "jack" else "Each"
    return Finding(
        value=f"It carries it. {kind} has to bear {least}."
        if enough
        else f"No. {kind} has to bear {least}. Take stronger ones.",
        because="It is the load, shared, and half as much again for safety.",
        inputs=(("load", load), ("rating", rating), ("stamped", stamped)),
        more=(("needed", Amount(needed, load.unit, Kind.MASS)),),
        assumptions=("half as much again is common practice, no source", "both sides carry the same"),
        cautions=(_UNDER, "Pins of the maker, never a bolt or a screwdriver."),
        source="HSE, Working under vehicles: never above the rated capacity",
    )


def slope(height: Amount, run: Amount) -> Result:
    """Return the angle of a ramp or of the ground; the same in percent is `grade`.

    Parameters
    ----------
    height : Amount
        By which it rises [length].
    run : Amount
        Level distance over which it rises [length], above zero.
    """
    rise, along = real(height, "millimetre"), real(run, "millimetre")
    return Result(
        value=amount_of(degrees(atan(rise / along)), "degree_of_arc"),
        because="It is the angle whose rise is that, over that distance.",
        inputs=(("height", height), ("run", run)),
        more=(("grade", amount_of(100 * rise / along, "percent")),),
        also="That is a grade of {grade}.",
        assumptions=("the run is measured on the level, not along the ramp",),
        cautions=(_UNDER,) if rise / along < 0.1 else (_UNDER, "That is steep. Look at the clearance of the bumper."),
        source="definition of the tangent",
    )


_MASS = Input("mass", Kind.MASS, "of the car with all that is in it", least="300 kg", most="5000 kg")
_SHARE = Input("share", Kind.SHARE, "of it on that axle", least="5 %", most="95 %", default="60 %")

CALCULATIONS = (
    Calculation(
        name="axle-load",
        subject="lifting",
        title="the load on an axle and on its corners",
        inputs=(_MASS, _SHARE),
        work=on_axle,
        example={"mass": "1400 kg", "share": "60 %"},
        formula="m·share",
        source="arithmetic; 60 % in front: stone-calculator.com, weak",
        valid="cars of 300 to 5000 kg; the plate goes before",
    ),
    Calculation(
        name="axle-by-moments",
        subject="lifting",
        title="the load on the rear axle by the centre of gravity",
        inputs=(
            _MASS,
            Input("gravity-from-front", Kind.LENGTH, "centre of gravity behind the front axle", most="6 m"),
            Input("wheelbase", Kind.LENGTH, "from axle to axle", least="1 m", most="6 m"),
        ),
        work=by_moments,
        example={"mass": "1000 lb", "gravity-from-front": "133 in", "wheelbase": "214 in"},
        formula="m·a/L",
        source="body builder's manual of a lorry (Peterbilt 220)",
        valid="centre of gravity between the axles",
    ),
    Calculation(
        name="stand-rating",
        subject="lifting",
        title="what each of two stands must be rated for",
        inputs=(_MASS, _SHARE),
        work=stand,
        example={"mass": "1400 kg"},
        formula="m·share/2·1.5",
        source="arithmetic; the margin is common practice, no source",
        valid="two stands under one axle",
    ),
    Calculation(
        name="lifting-check",
        subject="lifting",
        title="whether stands, ramps or a jack carry an axle",
        inputs=(
            Input("load", Kind.MASS, "on the axle that is raised", least="50 kg", most="4000 kg"),
            Input("rating", Kind.MASS, "what is stamped on it", least="50 kg", most="50000 kg"),
            Input("stamped", Form.TEXT, "for each, for the pair, or on a jack", default="unknown",
                  options=("each", "pair", "jack", "unknown")),
        ),
        work=check,
        example={"load": "840 kg", "rating": "2 t", "stamped": "each"},
        formula="load/2·1.5 for each, load·1.5 for a jack",
        source="HSE, Working under vehicles; the margin is common practice",
        valid="one axle raised, both sides alike",
    ),
    Calculation(
        name="ramp-slope",
        subject="lifting",
        title="how steep a ramp or the ground is",
        inputs=(
            Input("height", Kind.LENGTH, "by which it rises", most="5 m"),
            Input("run", Kind.LENGTH, "level distance over which it rises", least="10 mm", most="50 m"),
        ),
        work=slope,
        example={"height": "230 mm", "run": "900 mm"},
        formula="arctan(height/run)",
        source="definition of the tangent; printed examples",
        valid="any ramp",
    ),
)  # fmt: skip
