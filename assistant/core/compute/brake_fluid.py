"""Brake fluids: their grades, which may meet, and how much a bleeding takes. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import pi

from assistant.core.compute.calculation import Calculation, Form, Input, Row
from assistant.core.compute.real import amount_of, real
from assistant.core.compute.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind

_HARM = "Brake fluid harms paint and eyes. Use only a bottle that was sealed."
_GRADES = ("DOT 3", "DOT 4", "DOT 5", "DOT 5.1")


def _row(grade: str, brake_fluids: Sequence[Row]) -> Row:
    row = next((row for row in brake_fluids if row["grade"] == grade), None)
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


CALCULATIONS = (
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
            Input("bore", Kind.LENGTH, "inner diameter of the line", least="1 mm", most="10 mm"),
            Input("length", Kind.LENGTH, "from master cylinder to caliper", least="0.1 m", most="10 m"),
            Input("times", Kind.COUNT, "how often its volume passes", least="1", most="10", default="3"),
        ),
        work=line_volume,
        example={"bore": "3.4 mm", "length": "4 m"},
        formula="π/4·d²·L·n",
        source="volume of a cylinder; three times is common practice, no source",
        valid="the line alone",
    ),
)
