"""Whether a bottle of oil suits, and how many bottles to buy. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from decimal import ROUND_CEILING, Decimal
from itertools import product

from assistant.core.amounts.listing import listed
from assistant.core.amounts.reader import read_amount, read_number
from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.real import real
from assistant.core.compute.base.result import Finding, verdict
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

_GRADE = re.compile(r"(?:SAE )?(\d{1,2}W) ?-? ?(\d{1,2})|(?:SAE )?(\d{1,2})", re.IGNORECASE)
_MOST_BOTTLES = 12


def suits(
    grade: str, allowed: str, approval: str, approvals: str, coldest: Amount, oil_grades: Sequence[Row]
) -> Finding:
    """Return whether a bottle suits, by its grade, its approvals and the cold.

    Parameters
    ----------
    grade : str
        On the bottle, for instance 5W-30.
    allowed : str
        Grades that the service manual allows, with commas between them.
    approval : str
        What the manual asks for, for instance ACEA C3.
    approvals : str
        All that is on the bottle, with commas between them.
    coldest : Amount
        Where the engine has to start [temperature].

    Raises
    ------
    ReadingError
        For a text that is no grade of SAE J300.
    """
    winter = _winter(grade, oil_grades)
    faults = [
        *label_faults(grade, allowed, approval, approvals, _plain),
        *cold_faults(coldest, winter["cranks_at"] if winter else "", "it is made for starts"),
    ]
    return Finding(
        value=verdict(faults, "Yes, by grade, approval and cold."),
        because="I compared the bottle with the manual and with SAE J300.",
        inputs=(
            ("grade", grade),
            ("allowed", allowed),
            ("approval", approval),
            ("approvals", approvals),
            ("coldest", coldest),
        ),
        assumptions=("an approval counts only in the same words; one may include another: ask the maker",),
        cautions=("The wrong oil can ruin an engine or its filter.",),
        source="SAE J300 (2015); the service manual",
    )


def label_faults(grade: str, allowed: str, approval: str, approvals: str, plain: Callable[[str], str]) -> Iterator[str]:
    """Yield what speaks against a bottle by its label; texts are compared as `plain` leaves them."""
    if plain(grade) not in map(plain, allowed.split(",")):
        yield f"the manual does not allow {grade}"
    if plain(approval) not in map(plain, approvals.split(",")):
        yield f"the bottle does not say {approval}"


def cold_faults(coldest: Amount, bound: str, made_for: str) -> Iterator[str]:
    """Yield what speaks against an oil in the cold; `bound` [degree Celsius] is empty for a grade without a W."""
    celsius = real(coldest, "degree_Celsius")
    if bound and celsius < float(bound):
        yield f"{made_for} down to {bound} °C"
    if not bound and celsius < 0:
        yield "without a W in its grade, nothing is promised in the cold"


def _plain(text: str) -> str:
    return re.sub(r"[\s.-]|SAE", "", text.upper())


def _winter(grade: str, oil_grades: Sequence[Row]) -> Row | None:
    found = _GRADE.fullmatch(grade.strip())
    rows = {row["grade"]: row for row in oil_grades}
    if not found or (found[1] or found[3]).upper() not in rows or (found[2] or found[3]) not in rows:
        raise ReadingError(
            f"{grade!r} is no grade of SAE J300: write it as on the bottle, for instance 5W-30",
            say="I can't read that grade. Say it as on the bottle.",
        )
    return rows[found[1].upper()] if found[1] else None


def bottles(need: Amount, sizes: str, units: str | None = None) -> Finding:
    """Return the cheapest set of bottles that holds enough; `left`, `bought` and `cost` under those names.

    Parameters
    ----------
    need : Amount
        How much oil is needed [volume], above zero.
    sizes : str
        Each size with its price, for instance "1 L: 9.50, 5 L: 32"; without prices the least oil is left over.
    units : str | None
        Whose a quart is.

    Raises
    ------
    ReadingError
        For sizes that can't be read, or where more than twelve bottles would be needed.
    """
    offers = [_offer(text, units) for text in listed(sizes)]
    if not offers:
        raise ReadingError(
            "no bottle is on offer: write for instance 1 L: 9.50, 5 L: 32", say="Which bottles are there?"
        )
    litres = [convert(size, "litre").magnitude for size, _ in offers]
    wanted = convert(need, "litre").magnitude
    most = [min(_MOST_BOTTLES, int((wanted / size).to_integral_value(ROUND_CEILING))) for size in litres]
    sets = [
        counts
        for counts in product(*(range(count + 1) for count in most))
        if 0 < sum(counts) <= _MOST_BOTTLES and _sum(counts, litres) >= wanted
    ]
    if not sets:
        raise ReadingError(
            f"more than {_MOST_BOTTLES} such bottles would be needed: look for larger ones",
            say="That takes more than twelve bottles. Look for larger ones.",
        )
    prices = [price for _, price in offers]
    priced = all(price is not None for price in prices)
    costs = [price or Decimal(0) for price in prices]
    best = min(sets, key=lambda counts: (_sum(counts, costs), _sum(counts, litres), sum(counts)))
    unit = need.unit
    bought = convert(Amount(_sum(best, litres), "litre", Kind.VOLUME), unit)
    left = Amount(bought.magnitude - need.magnitude, unit, Kind.VOLUME)
    chosen = [(count, size) for count, (size, _) in zip(best, offers, strict=True) if count]
    text = " and ".join(f"{count} × {write_amount(size)}" for count, size in chosen)
    cost = (("cost", Amount(_sum(best, costs), "one", Kind.COUNT)),) if priced else ()
    return Finding(
        value=text,
        say=f"Take {text.replace(' ×', ' of')}.",
        because="It is the cheapest set that holds enough." if priced else "It leaves the least over.",
        inputs=(("need", need), ("sizes", sizes)),
        more=(
            ("bought", bought),
            ("left", left),
            *cost,
        ),
        also="{left} are left over.",
        assumptions=("keep what is left, closed, for topping up",),
        source="arithmetic: every set is tried",
    )


def _sum(counts: Sequence[int], values: Sequence[Decimal]) -> Decimal:
    return sum((count * value for count, value in zip(counts, values, strict=True)), Decimal(0))


def _offer(text: str, units: str | None) -> tuple[Amount, Decimal | None]:
    size, _, price = text.partition(":")
    value = read_amount(size.strip(), Kind.VOLUME, units)
    cost = read_number(price) if price.strip() else None
    if cost is not None and cost < 0:
        raise ReadingError(f"{price.strip()!r} is no price: write a number", say="I can't read that price.")
    if not value.magnitude.is_finite() or value.magnitude <= 0:
        raise ReadingError(f"a bottle of {write_amount(value)} holds nothing", say="A bottle must hold something.")
    return value, cost


CALCULATIONS = (
    Calculation(
        name="oil-suits",
        subject="oil-choice",
        title="whether a bottle of oil suits",
        inputs=(
            Input("grade", Form.TEXT, "on the bottle, for instance 5W-30"),
            Input("allowed", Form.TEXT, "grades that the manual allows, with commas"),
            Input("approval", Form.TEXT, "what the manual asks for, for instance ACEA C3"),
            Input("approvals", Form.TEXT, "all approvals on the bottle, with commas"),
            Input("coldest", Kind.TEMPERATURE, "where it has to start", least="-60 °C", most="50 °C"),
        ),
        work=suits,
        example={"grade": "5W-30", "allowed": "5W-30, 0W-30", "approval": "ACEA C3", "approvals": "ACEA C3, API SN",
                 "coldest": "-25 °C"},
        formula="looked up",
        source="SAE J300 (2015), as raso.name prints it",
        valid="the service manual goes before",
        tables=("oil-grades",),
    ),
    Calculation(
        name="oil-bottles",
        subject="oil-choice",
        title="which bottles to buy, what is left, what it costs",
        inputs=(
            Input("need", Kind.VOLUME, "how much is needed", least="0.1 L", most="60 L"),
            Input("sizes", Form.TEXT, "each size with its price: 1 L: 9.50, 5 L: 32"),
        ),
        work=bottles,
        example={"need": "4.3 L", "sizes": "1 L: 9.50, 5 L: 32"},
        formula="the cheapest of all sets",
        source="arithmetic",
        valid="up to twelve bottles",
        reads=True,
    ),
)  # fmt: skip
