"""How old a tyre is, whether its tread is enough, and where each wheel goes next. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import row_where
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

_SUNDAY = 6
OLD = 10
"""Years after which makers say to replace a tyre whatever its tread. Common practice, no source."""


def age(code: str, day: date) -> Result:
    """Return how long ago a tyre was made, in whole weeks [day], by the last four figures of its date code.

    Raises
    ------
    ReadingError
        For three figures, which do not tell the decade; for a week that no year has; for a tyre from the future.

    References
    ----------
    49 CFR 574.5: weeks run from Sunday to Saturday, 01 is the first full week of the year, and the last one may reach
    into the next year; 0109 is the week that begins on Sunday, 4 January 2009.
    """
    figures = re.sub(r"[\s-]", "", code)[-4:]
    if re.fullmatch(r"\d{3}", figures):
        raise ReadingError(
            f"{code!r} has three figures: it was made before 2000, and the decade is not told. Do not use it",
            say="Three figures: it is from before two thousand. Do not use it.",
        )
    if not re.fullmatch(r"\d{4}", figures) or not 1 <= int(figures[:2]) <= 53:
        raise ReadingError(
            f"{code!r} is no date code: four figures, week 01 to 53 and year",
            say="I can't read that date code. Read the last four figures.",
        )
    first = date(2000 + int(figures[2:]), 1, 1)
    made = first + timedelta(days=(_SUNDAY - first.weekday()) % 7, weeks=int(figures[:2]) - 1)
    if made.year != first.year:
        raise ReadingError(
            f"{code!r} is no date code: {first.year} had no week {figures[:2]}",
            say="That year had no such week. Read the last four figures.",
        )
    weeks = (day - made).days // 7
    if weeks < 0:
        raise ReadingError(
            f"{code!r} would be made on {made}, after {day}: read it again",
            say="That tyre is not made yet. Read again.",
        )
    years = Amount(Decimal(weeks) * 7 / Decimal("365.25"), "year", Kind.DURATION)
    return Result(
        value=Amount(Decimal(weeks * 7), "day", Kind.DURATION),
        because=f"It was made in the week that began on {made.isoformat()}.",
        inputs=(("code", code), ("day", day.isoformat())),
        more=(
            ("made", made.isoformat()),
            ("years", years),
        ),
        also=f"That is {round(years.magnitude, 1)} years." if weeks > 52 else "",
        cautions=(f"Makers say to replace a tyre after {OLD} years, whatever its tread.",) if weeks > 52 * OLD else (),
        assumptions=("weeks run from Sunday to Saturday; week 1 is the first full one",),
        source="49 CFR 574.5",
    )


def tread(depth: Amount, place: str, tread_limits: Sequence[Row]) -> Finding:
    """Return whether the shallowest tread is legal in a place, and by how much under `spare`.

    Parameters
    ----------
    depth : Amount
        Shallowest tread of the tyre [length].
    place : str
        As the table names it; for another it refuses, for the law differs.
    """
    row = row_where(tread_limits, place=place)
    if row is None:
        raise ReadingError(
            f"no law of {place!r} is in the table: look it up. There are: "
            + ", ".join(row["place"] for row in tread_limits),
            say="I do not know the law there. Look it up.",
        )
    least = convert(amount(row["least"]), depth.unit)
    spare = Amount(depth.magnitude - least.magnitude, depth.unit, Kind.LENGTH)
    return Finding(
        value="It is enough by law." if spare.magnitude >= 0 else "No: it is too little by law. Do not drive on it.",
        because=f"The least is {row['least']}, {row['rule']}.",
        inputs=(("depth", depth), ("place", place)),
        more=(("least", least), ("spare", spare)),
        also="{spare} are left until then." if spare.magnitude > 0 else "",
        cautions=("Measure where it is shallowest. Cuts and bulges are not legal either.",),
        source=row["rule"],
    )


_PATTERNS = {
    ("directional", "any"): "Front left and rear left change places, and front right and rear right. Never across.",
    ("usual", "front"): "Front wheels go straight back. Rear wheels go to the front, crossed.",
    ("usual", "rear"): "Rear wheels go straight forward. Front wheels go to the back, crossed.",
    ("usual", "all"): "Every wheel goes to the other axle, crossed.",
}


def rotation(kind: str, drive: str) -> Finding:
    """Return where each wheel goes, by the kind of tyre and by which wheels are driven."""
    if kind == "different sizes":
        text = "Leave each axle as it is: the sizes differ. Ask the manual whether sides may change."
    else:
        text = _PATTERNS[("directional", "any") if kind == "directional" else ("usual", drive)]
    return Finding(
        value=text,
        because="So that all four wear alike.",
        inputs=(("kind", kind), ("drive", drive)),
        cautions=("Set the pressures anew, and tighten the wheels by the manual.",),
        assumptions=("full-size wheels; a small spare never takes part",),
        source="patterns that tyre makers print",
    )


CALCULATIONS = (
    Calculation(
        name="tyre-age",
        subject="tyres",
        title="how old a tyre is by its date code",
        inputs=(
            Input("code", Form.TEXT, "last four figures of the code that begins with DOT"),
            Input("day", Form.DAY, "today, as 2026-03-14"),
        ),
        work=age,
        example={"code": "2423", "day": "2026-03-14"},
        formula="first Sunday of the year + (week − 1)",
        source="49 CFR 574.5: Sunday to Saturday, week 01 is the first full one",
        valid="tyres made since 2000",
    ),
    Calculation(
        name="tyre-tread",
        subject="tyres",
        title="whether the tread is enough by law",
        inputs=(
            Input("depth", Kind.LENGTH, "shallowest tread", most="20 mm"),
            Input("place", Form.TEXT, "whose law",
                  options=("Great Britain", "European Union", "Pennsylvania", "New York", "Virginia")),
        ),
        work=tread,
        example={"depth": "2.4 mm", "place": "Great Britain"},
        formula="compared with the law",
        source="SI 1986/1078 regulation 27; Directive 89/459/EEC; state laws, as quoted in public",
        valid="cars; laws change",
        tables=("tread-limits",),
    ),
    Calculation(
        name="tyre-rotation",
        subject="tyres",
        title="where each wheel goes when they are changed around",
        inputs=(
            Input("kind", Form.TEXT, "of the tyres", options=("usual", "directional", "different sizes")),
            Input("drive", Form.TEXT, "which wheels are driven", options=("front", "rear", "all")),
        ),
        work=rotation,
        example={"kind": "usual", "drive": "front"},
        formula="looked up",
        source="patterns that tyre makers print; common practice, no source",
        valid="four full-size wheels; the manual goes before",
    ),
)  # fmt: skip
