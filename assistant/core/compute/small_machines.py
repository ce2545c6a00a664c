"""Fuel in store, oil for a two-stroke engine, oil for a gearbox, and how far a belt gives way. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.result import Finding, Result, verdict
from assistant.core.compute.oil.choice import cold_faults, label_faults
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert

PER_SPAN = 64
"""A belt is pushed in by one part in this of its span (installation guide of a belt maker: 1/64 inch for each inch)."""
_GRADE = re.compile(r"(?:SAE ?)?(\d+W)(?:-(\d+))?|(?:SAE ?)?(\d+)", re.IGNORECASE)


def mixture(fuel: Amount, ratio: Amount) -> Result:
    """Return how much oil goes into the fuel of a two-stroke engine [millilitre or US fluid ounce].

    Parameters
    ----------
    fuel : Amount
        Petrol without oil [volume].
    ratio : Amount
        Parts of petrol to one of oil, 50 for 50:1 [count].
    """
    metric = fuel.unit in ("litre", "millilitre")
    oil = Amount(fuel.magnitude / ratio.magnitude, fuel.unit, Kind.VOLUME)
    return Result(
        value=convert(oil, "millilitre" if metric else "US_fluid_ounce"),
        because="It is the petrol, divided by the ratio.",
        inputs=(("fuel", fuel), ("ratio", ratio)),
        also="Oil first, then petrol, and shake.",
        assumptions=("the ratio of the machine's own manual",),
        cautions=("Petrol burns: mix it outdoors, with the engine cold. Use it up within a month.",),
        source="fuel divided by the ratio (anycalculator.com)",
    )


def deflection(span: Amount) -> Result:
    """Return how far a V-belt is pushed in at the middle of its span when its force is measured.

    References
    ----------
    Installation guide of a belt maker (Contitech, page 13): 1/64 inch for each inch of span.
    """
    return Result(
        value=Amount(span.magnitude / PER_SPAN, span.unit, Kind.LENGTH),
        because="It is one sixty-fourth of the free span.",
        inputs=(("span", span),),
        also="Push it in by that much, and compare the force with the maker's.",
        assumptions=("a V-belt without a spring tensioner", "the force is in the manual of car or belt"),
        cautions=("Engine off, and the key away.",),
        source="installation guide of a belt maker (Contitech, page 13)",
    )


def gear_oil(
    grade: str, allowed: str, approval: str, approvals: str, coldest: Amount, gear_oil_grades: Sequence[Row]
) -> Finding:
    """Return whether an oil suits a gearbox or an axle, by its grade of SAE J306, its quality and the cold.

    Parameters
    ----------
    grade : str
        On the bottle, for instance 75W-90.
    allowed : str
        Grades that the manual allows, with commas between them.
    approval : str
        What the manual asks for, for instance GL-4.
    approvals : str
        All that is on the bottle, with commas between them.
    coldest : Amount
        Where it has to run [temperature].

    Raises
    ------
    ReadingError
        For a text that is no grade of SAE J306.
    """
    rows = {row["grade"]: row for row in gear_oil_grades}
    found = _GRADE.fullmatch(grade.strip())
    parts = [part.upper() for part in found.groups() if part] if found else []
    if not parts or any(part not in rows for part in parts):
        raise ReadingError(
            f"{grade!r} is no grade of SAE J306: write it as on the bottle, for instance 75W-90",
            say="I can't read that grade. Say it as on the bottle.",
        )
    faults = [
        *label_faults(grade, allowed, approval, approvals, _plain),
        *cold_faults(coldest, rows[parts[0]]["flows_at"], "it flows"),
    ]
    return Finding(
        value=verdict(faults, "Yes, by grade, quality and cold."),
        because="I compared the bottle with the manual and with SAE J306.",
        inputs=(("grade", grade), ("allowed", allowed), ("approval", approval), ("approvals", approvals),
                ("coldest", coldest)),
        assumptions=("a quality counts only in the same words: GL-5 does not include GL-4 everywhere",),
        cautions=("Gear grades are another scale than engine grades. The wrong oil can ruin synchronizers.",),
        source="SAE J306 (2019); the service manual",
    )  # fmt: skip


def _plain(text: str) -> str:
    return re.sub(r"[\s.-]|SAE|API", "", text.upper())


def stored(fuel: str, age: Amount, fuel_storage: Sequence[Row]) -> Finding:
    """Return whether fuel that was stored may still be used; how long it surely keeps, and at most, by its kind.

    Parameters
    ----------
    fuel : str
        `petrol`, `E10` or `diesel`.
    age : Amount
        Since it was bought [duration], in months or years.
    """
    row = next(row for row in fuel_storage if row["fuel"] == fuel)
    surely, most = (Amount(Decimal(row[end]), "month", Kind.DURATION) for end in ("surely", "most"))
    months = convert(age, "month").magnitude
    if months <= surely.magnitude:
        text = "It is fresh enough."
    elif months <= most.magnitude:
        text = "Doubtful: look and smell. Use it mixed with fresh fuel, if it is clear and smells as usual."
    else:
        text = "Too old: take it to a collection point."
    return Finding(
        value=text,
        because="I compared its age with what sellers say of that fuel.",
        inputs=(("fuel", fuel), ("age", age)),
        more=(("surely", surely), ("most", most)),
        also="It keeps for {surely}, at most {most}.",
        assumptions=("clean, sealed and cool, without a stabilizer",),
        cautions=("Never in a cellar or a living room. Its vapour burns.",),
        source="axi-international.com, vendor.eyby.com: sellers, no standard was seen",
    )


CALCULATIONS = (
    Calculation(
        name="fuel-age",
        subject="fluids",
        title="whether fuel that was stored may still be used",
        inputs=(
            Input("fuel", Form.TEXT, "which", options=("petrol", "E10", "diesel")),
            Input("age", Kind.DURATION, "since it was bought, in months", least="0 months", most="20 years"),
        ),
        work=stored,
        example={"fuel": "E10", "age": "4 months"},
        formula="compared with the table",
        source="axi-international.com, vendor.eyby.com: sellers, no standard was seen",
        valid="sealed containers in the cool",
        tables=("fuel-storage",),
    ),
    Calculation(
        name="two-stroke-mix",
        subject="oil-choice",
        title="how much oil goes into the fuel of a two-stroke engine",
        inputs=(
            Input("fuel", Kind.VOLUME, "petrol without oil", least="0.1 L", most="100 L"),
            Input("ratio", Kind.COUNT, "parts of petrol to one of oil: 50 for 50:1", least="10", most="120"),
        ),
        work=mixture,
        example={"fuel": "5 L", "ratio": "50"},
        formula="fuel/ratio",
        source="charts of mixtures (anycalculator.com)",
        valid="the ratio of the machine's manual",
    ),
    Calculation(
        name="gear-oil-suits",
        subject="oil-choice",
        title="whether an oil suits a gearbox or an axle",
        inputs=(
            Input("grade", Form.TEXT, "on the bottle, for instance 75W-90"),
            Input("allowed", Form.TEXT, "grades of the manual, with commas between them"),
            Input("approval", Form.TEXT, "what the manual asks for, for instance GL-4"),
            Input("approvals", Form.TEXT, "all that is on the bottle, with commas between them"),
            Input("coldest", Kind.TEMPERATURE, "where it has to run", least="-60 °C", most="50 °C"),
        ),
        work=gear_oil,
        example={"grade": "75W-90", "allowed": "75W-90", "approval": "GL-4", "approvals": "GL-4", "coldest": "-25 °C"},
        formula="looked up",
        source="SAE J306 (2019), as pmlubrication.com.au prints it",
        valid="the service manual goes before",
        tables=("gear-oil-grades",),
    ),
    Calculation(
        name="belt-deflection",
        subject="battery",
        title="how far a V-belt is pushed in when its tension is measured",
        inputs=(Input("span", Kind.LENGTH, "free length between the pulleys", least="50 mm", most="3 m"),),
        work=deflection,
        example={"span": "320 mm"},
        formula="span/64",
        source="installation guide of a belt maker (Contitech, page 13)",
        valid="V-belts without a spring tensioner",
    ),
)
