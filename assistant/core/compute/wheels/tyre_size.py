"""What a tyre's size code says: its diameter, what it does to the speedometer, what it may carry. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import pi

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import row_where
from assistant.core.compute.base.real import amount_of
from assistant.core.compute.base.result import Finding, Result, verdict
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_CODE = re.compile(
    r"(?:P|LT)? ?(?P<width>\d{3}) ?/ ?(?P<ratio>\d{2}) ?(?P<build>Z?R|-|D|B) ?F? ?(?P<rim>\d{2}(?:\.5)?)"
    r"(?: +(?P<load>\d{2,3}) ?(?P<speed>[A-Z]))?(?: XL)?",
    re.IGNORECASE,
)
_INCH = Decimal("25.4")


@dataclass(frozen=True, slots=True)
class Size:
    """A tyre's size: section width and rim [millimetre], height in percent of the width, load index, speed symbol."""

    width: Decimal
    ratio: Decimal
    rim: Decimal
    load: str
    speed: str

    @property
    def sidewall(self) -> Decimal:
        """Return the height of one sidewall [millimetre]."""
        return self.width * self.ratio / 100

    @property
    def diameter(self) -> Decimal:
        """Return the overall diameter when new and unloaded [millimetre]."""
        return self.rim + 2 * self.sidewall


def read_size(code: str) -> Size:
    """Return what a code such as `205/55R16 91V` says; ReadingError for what is none, or for no car's tyre."""
    found = _CODE.fullmatch(code.strip())
    if not found:
        raise ReadingError(
            f"{code!r} is no metric size code: read it off the sidewall, for instance 205/55R16 91V",
            say="I can't read that size. Say it as on the sidewall.",
        )
    size = Size(
        Decimal(found["width"]), Decimal(found["ratio"]), Decimal(found["rim"]) * _INCH,
        found["load"] or "", (found["speed"] or "").upper(),
    )  # fmt: skip
    if not (115 <= size.width <= 405 and 20 <= size.ratio <= 90 and 10 * _INCH <= size.rim <= 26 * _INCH):
        raise ReadingError(
            f"{code!r}: a car's tyre is 115 to 405 mm wide, 20 to 90 % high, on a rim of 10 to 26 inches",
            say="No car has that tyre. Read the sidewall again.",
        )
    return size


def diameter(size: str) -> Result:
    """Return the overall diameter; with `sidewall`, `circumference`, and `turns` in a kilometre.

    References
    ----------
    Definition of the code (ISO 4000-1): rim × 25.4 + 2 × width × ratio.
    """
    read = read_size(size)
    around = amount_of(pi * float(read.diameter), "millimetre")
    return Result(
        value=Amount(read.diameter, "millimetre", Kind.LENGTH),
        because="It is the rim, and twice the sidewall.",
        inputs=(("size", size),),
        more=(
            ("sidewall", Amount(read.sidewall, "millimetre", Kind.LENGTH)),
            ("circumference", around),
            ("turns", amount_of(1e6 / float(around.magnitude), "one")),
        ),
        also="It is {circumference} around.",
        assumptions=("the tyre is new and carries nothing; a rolling one is some percent less",),
        source="definition of the size code",
    )


def speedometer(fitted: str, instead_of: str, shown: Amount) -> Result:
    """Return the true speed when the speedometer shows one, with another size fitted; the error under `error`.

    Parameters
    ----------
    fitted, instead_of : str
        Size codes.
    shown : Amount
        What the speedometer shows [speed]; it is taken as right with the old size.
    """
    new, old = read_size(fitted).diameter, read_size(instead_of).diameter
    true = Amount(shown.magnitude * new / old, shown.unit, Kind.SPEED)
    error = amount_of(100 * (float(old) / float(new) - 1), "percent")
    return Result(
        value=true,
        because="The wheel turns as often, but rolls farther or less far.",
        inputs=(("fitted", fitted), ("instead-of", instead_of), ("shown", shown)),
        more=(("error", error),),
        also="The speedometer is off by {error}.",
        assumptions=("the speedometer is right with the old size",),
        cautions=("A speedometer must never show too little.",) if error.magnitude < 0 else (),
        source="ratio of the diameters",
    )


def enough(
    size: str, axle_load: Amount, top_speed: Amount, load_indices: Sequence[Row], speed_symbols: Sequence[Row]
) -> Finding:
    """Return whether two such tyres carry an axle and bear a speed; what one carries at it under `load`, its `speed`.

    Parameters
    ----------
    size : str
        Size code with load index and speed symbol.
    axle_load : Amount
        Greatest load of the axle, from the vehicle's plate [mass].
    top_speed : Amount
        Greatest speed of the vehicle [speed].

    Raises
    ------
    ReadingError
        For a code without both, one that is not in the tables, and a speed at which nobody printed what it carries.
    """
    read = read_size(size)
    carried, driven = row_where(load_indices, index=read.load), row_where(speed_symbols, symbol=read.speed)
    if carried is None or driven is None:
        raise ReadingError(
            f"{size!r} has no load index and speed symbol of the tables: read both, for instance 205/55R16 91V",
            say="I need the load index and the speed letter too.",
        )
    bears = Amount(Decimal(driven["kilometres_per_hour"]), "kilometre_per_hour", Kind.SPEED)
    share = _share_at(convert(top_speed, bears.unit).magnitude, driven)
    load = Amount(Decimal(carried["kilograms"]) * share, "kilogram", Kind.MASS)
    faults = [
        text
        for text, wrong in (
            ("they carry too little for that axle", 2 * load.magnitude < convert(axle_load, "kilogram").magnitude),
            ("they are too slow for that car", bears.magnitude < convert(top_speed, bears.unit).magnitude),
        )
        if wrong
    ]
    return Finding(
        value=verdict(faults, "Yes: they carry the axle and bear the speed."),
        because="I looked up the load index and the speed letter"
        + (". At that speed a tyre carries less." if share < 1 else "."),
        inputs=(("size", size), ("axle-load", axle_load), ("top-speed", top_speed)),
        more=(("load", load), ("speed", bears)),
        also="Each carries {load}, up to {speed}.",
        assumptions=("two tyres on the axle, at the pressure of the placard",),
        cautions=("Fit only sizes that the vehicle's papers allow.",),
        source="load indices and speed symbols of ECE R30",
    )


def _share_at(speed: Decimal, driven: Row) -> Decimal:
    """Return the share of its load that a tyre carries at a speed [km/h], by its row of the speed symbols."""
    if not driven["whole_load_to"] or speed <= (whole := Decimal(driven["whole_load_to"])):
        return Decimal(1)
    if not driven["share_at_most"]:
        raise ReadingError(
            f"above {whole} km/h a {driven['symbol']} tyre carries less, and how much less is not in the table: "
            "ask the tyre's maker",
            say="At that speed it carries less. Ask the tyre's maker.",
        )
    most = Decimal(driven["kilometres_per_hour"])
    return 1 - (1 - Decimal(driven["share_at_most"])) * (min(speed, most) - whole) / (most - whole)


_SIZE = "on the sidewall, for instance 205/55R16 91V"
_SPEED = Input("shown", Kind.SPEED, "what the speedometer shows", most="400 km/h", default="100 km/h")

CALCULATIONS = (
    Calculation(
        name="tyre-size",
        subject="tyres",
        title="diameter and circumference of a tyre",
        inputs=(Input("size", Form.TEXT, _SIZE),),
        work=diameter,
        example={"size": "205/55R16"},
        formula="rim·25.4 + 2·width·ratio",
        source="definition of the size code",
        valid="metric codes of cars",
    ),
    Calculation(
        name="speedometer",
        subject="tyres",
        title="the true speed with tyres of another size",
        inputs=(Input("fitted", Form.TEXT, _SIZE), Input("instead-of", Form.TEXT, "the size before"), _SPEED),
        work=speedometer,
        example={"fitted": "225/60R17", "instead-of": "215/65R17"},
        formula="shown · new diameter / old diameter",
        source="ratio of the diameters",
        valid="metric codes of cars",
    ),
    Calculation(
        name="tyre-load",
        subject="tyres",
        title="whether a tyre carries an axle and bears a speed",
        inputs=(
            Input("size", Form.TEXT, "with load index and speed letter, " + _SIZE),
            Input("axle-load", Kind.MASS, "greatest load of the axle, on the plate", least="100 kg", most="3500 kg"),
            Input("top-speed", Kind.SPEED, "greatest speed of the car", least="30 km/h", most="350 km/h"),
        ),
        work=enough,
        example={"size": "205/55R16 91V", "axle-load": "1050 kg", "top-speed": "205 km/h"},
        formula="looked up",
        source="load indices and speed symbols of ECE R30, as tyre dealers print them",
        valid="two tyres on an axle",
        tables=("load-indices", "speed-symbols"),
    ),
)
