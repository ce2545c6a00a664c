"""Brake fluids: their grades, which may meet, and how much a bleeding takes. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from math import pi

from assistant.core.amounts.listing import listed
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import row_where
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

_HARM = "Brake fluid harms paint and eyes. Use only a bottle that was sealed."
_GRADES = ("DOT 3", "DOT 4", "DOT 5", "DOT 5.1")


def _row(grade: str, brake_fluids: Sequence[Row]) -> Row:
    row = row_where(brake_fluids, grade=grade)
    if row is None:
        raise ReadingError(f"{grade!r} is no grade of the table", say="I do not know that brake fluid.")
    return row


def boiling_point(grade: str, brake_fluids: Sequence[Row]) -> Result:
    """Return the least boiling point of a fresh fluid; with 3.7 % water by weight under `wet`.

    References
    ----------
    49 CFR 571.116 (FMVSS 116), S5.1.1 and S5.1.2.
    """
    row = _row(grade, brake_fluids)
    fresh, wet = (Amount(Decimal(row[state]), "degree_Celsius", Kind.TEMPERATURE) for state in ("fresh", "wet"))
    return Result(
        value=fresh,
        because="It is what the standard asks of that grade. Water lowers it year by year.",
        inputs=(("grade", grade),),
        more=(("wet", wet), ("base", row["base"])),
        also="With water in it, {wet}. It is made of {base}.",
        cautions=(_HARM,),
        assumptions=("wet means 3.7 % water by weight",),
        source="49 CFR 571.116",
    )


def may_meet(present: str, added: str, brake_fluids: Sequence[Row]) -> Finding:
    """Return whether a fluid may be added to another one: never silicone and glycol."""
    first, second = _row(present, brake_fluids), _row(added, brake_fluids)
    same = first["base"] == second["base"]
    weaker = same and int(second["wet"]) < int(first["wet"])
    text = "They may meet." if same else "No. Silicone and glycol never mix."
    return Finding(
        value=f"{text} But the mixture boils sooner than what is in it now." if weaker else text,
        because=f"One is made of {first['base']}, the other of {second['base']}.",
        inputs=(("present", present), ("added", added)),
        cautions=(_HARM, "Use the grade on the cap of the reservoir."),
        source="49 CFR 571.116: DOT 5 is silicone",
    )


def line_volume(bore: Amount, length: Amount, times: Amount) -> Result:
    """Return how much fluid flushes a brake line: its inner volume, so many times.

    Parameters
    ----------
    bore : Amount
        Inner diameter of the line [length].
    length : Amount
        Of the line from the master cylinder to the caliper [length].
    times : Amount
        How often its volume is to pass [count]; three times is common practice, no source.
    """
    area = pi / 4 * real(bore, "millimetre") ** 2
    return Result(
        value=amount_of(area * real(length, "millimetre") / 1000 * float(times.magnitude), "millilitre"),
        because="It is the inner volume of the line, so many times over.",
        inputs=(("bore", bore), ("length", length), ("times", times)),
        assumptions=("caliper and cylinder hold more: pump until it runs clear and without bubbles",),
        cautions=(_HARM, "Never let the reservoir run empty.", "Bleed in the order of the service manual."),
        source="volume of a cylinder",
    )


WET = Decimal("3.7")
"""Water at which the wet boiling point is told [percent by weight]: 49 CFR 571.116, S6.2."""


def with_water(grade: str, water: Amount, brake_fluids: Sequence[Row]) -> Finding:
    """Return what is known of the boiling point of a fluid with some water in it; the bounds as `least` and `most`.

    The standard tells two points only, and between them the curve falls fastest at first: so it is no number, but two
    bounds, and beyond the second only that it boils sooner.

    Parameters
    ----------
    water : Amount
        Share of water by weight that a tester shows [share].
    """
    row = _row(grade, brake_fluids)
    fresh, wet = (Amount(Decimal(row[state]), "degree_Celsius", Kind.TEMPERATURE) for state in ("fresh", "wet"))
    if row["base"] == "silicone":
        raise ReadingError(
            "silicone takes up no water: free water in it boils at 100 °C. Replace the fluid",
            say="Silicone takes up no water. Replace the fluid.",
        )
    spoilt = convert(water, "percent").magnitude >= WET
    return Finding(
        value="Replace it: it boils at the wet boiling point, or sooner." if spoilt else "It boils between two bounds.",
        because="Water lowers the boiling point. Boiling fluid makes the pedal go to the floor.",
        inputs=(("grade", grade), ("water", water)),
        more=(("most", wet),) if spoilt else (("least", wet), ("most", fresh)),
        also="It boils at {most}, or sooner." if spoilt else "They are {least} and {most}.",
        cautions=(_HARM, "Change it by the manual's interval, whatever a tester shows."),
        assumptions=("the standard's least values; by weight",),
        source="49 CFR 571.116, S5.1 and S6.2",
    )


def bleeding(lines: str, bore: Amount, times: Amount, bottle: Amount) -> Finding:
    """Return the order in which brakes are bled, the longest line first, and what each takes; `total`, `bottles`.

    Parameters
    ----------
    lines : str
        Each brake with the length of its line: "rear left: 4.2 m, front right: 1.6 m".
    bore, times : Amount
        As in `line_volume`.
    bottle : Amount
        What a bottle holds [volume], above zero.

    Raises
    ------
    ReadingError
        For a line that can't be read or has no length.
    """
    named = [_line(text) for text in listed(lines)]
    if not named:
        raise ReadingError("no line is named: write rear left: 4.2 m, ...", say="Tell me each brake and its line.")
    named.sort(key=lambda each: -real(each[1], "millimetre"))
    volumes = [(name, line_volume(bore, length, times).value) for name, length in named]
    total = sum((volume.magnitude for _, volume in volumes), Decimal(0))
    count = (total / convert(bottle, "millilitre").magnitude).to_integral_value(ROUND_CEILING)
    return Finding(
        value=", ".join(name for name, _ in named),
        because="The longest line first. The service manual's order goes before this one.",
        inputs=(("lines", lines), ("bore", bore), ("times", times), ("bottle", bottle)),
        more=(
            *volumes,
            ("total", Amount(total, "millilitre", Kind.VOLUME)),
            ("bottles", Amount(count, "one", Kind.COUNT)),
        ),
        also=f"In all it takes {{total}}. Have {{bottles}} bottle{'' if count == 1 else 's'}.",
        assumptions=("calipers and cylinder hold more: have a bottle to spare",),
        cautions=(_HARM, "Never let the reservoir run empty.", "With ABS, some cars must be bled with a tester."),
        source="common practice, no source; the volume of a cylinder",
    )


def _line(text: str) -> tuple[str, Amount]:
    name, sign, length = text.strip().partition(":")
    if not sign or not name.strip():
        raise ReadingError(
            f"{text.strip()!r}: write the brake, a colon and the length of its line",
            say="Tell me each brake and its line.",
        )
    value = read_amount(length.strip(), Kind.LENGTH)
    if not value.magnitude.is_finite() or not 0 < real(value, "metre") <= _LONGEST:
        raise ReadingError(f"{name.strip()}: a line of {length.strip()} can't be", say="No brake line is that long.")
    return name.strip(), value


_LONGEST = 10
"""No car has a longer brake line [metre]. Common practice, no source."""
_BORE = Input("bore", Kind.LENGTH, "inner diameter of the line", least="1 mm", most="10 mm")
_TIMES = Input("times", Kind.COUNT, "how often its volume passes", least="1", most="10", default="3")

CALCULATIONS = (
    Calculation(
        name="brake-fluid-water",
        subject="fluids",
        title="what water in brake fluid does to its boiling point",
        inputs=(
            Input("grade", Form.TEXT, "on the cap or the bottle", options=_GRADES),
            Input("water", Kind.SHARE, "by weight, that a tester shows", most="20 %"),
        ),
        work=with_water,
        example={"grade": "DOT 4", "water": "2 %"},
        formula="looked up: two bounds",
        source="49 CFR 571.116 (FMVSS 116), wet is 3.7 % water by weight",
        valid="grades of glycol",
        tables=("brake-fluids",),
    ),
    Calculation(
        name="bleed-sequence",
        subject="fluids",
        title="order of bleeding, what each brake takes, how many bottles",
        inputs=(
            Input("lines", Form.TEXT, "each brake with the length of its line: rear left: 4.2 m, front right: 1.6 m"),
            _BORE,
            _TIMES,
            Input("bottle", Kind.VOLUME, "what a bottle holds", least="0.1 L", most="20 L", default="0.5 L"),
        ),
        work=bleeding,
        example={
            "lines": "front left: 1.8 m, rear left: 4.2 m, rear right: 3.6 m, front right: 1.2 m",
            "bore": "3.4 mm",
        },
        formula="longest line first; π/4·d²·L·n",
        source="common practice, no source",
        valid="the lines alone; the manual's order goes before",
    ),
    Calculation(
        name="brake-fluid",
        subject="fluids",
        title="boiling points of a grade of brake fluid",
        inputs=(Input("grade", Form.TEXT, "on the cap or the bottle", options=_GRADES),),
        work=boiling_point,
        example={"grade": "DOT 4"},
        formula="looked up",
        source="49 CFR 571.116 (FMVSS 116)",
        valid="least values; a bottle may promise more",
        tables=("brake-fluids",),
    ),
    Calculation(
        name="brake-fluids-mix",
        subject="fluids",
        title="whether two brake fluids may meet",
        inputs=(
            Input("present", Form.TEXT, "what is in it", options=_GRADES),
            Input("added", Form.TEXT, "what is to be added", options=_GRADES),
        ),
        work=may_meet,
        example={"present": "DOT 4", "added": "DOT 5"},
        formula="looked up",
        source="49 CFR 571.116 (FMVSS 116)",
        valid="the cap of the reservoir goes before",
        tables=("brake-fluids",),
    ),
    Calculation(
        name="bleed-volume",
        subject="fluids",
        title="how much fluid flushes a brake line",
        inputs=(
            _BORE,
            Input("length", Kind.LENGTH, "from master cylinder to caliper", least="0.1 m", most="10 m"),
            _TIMES,
        ),
        work=line_volume,
        example={"bore": "3.4 mm", "length": "4 m"},
        formula="π/4·d²·L·n",
        source="volume of a cylinder; three times is common practice, no source",
        valid="the line alone",
    ),
)
