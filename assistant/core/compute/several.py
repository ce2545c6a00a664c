"""Several readings of one kind, and several findings: how far apart they are, and the worst of them. Pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.amounts.listing import listed
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

RANKS = ("good", "soon", "stop")
"""What a finding may be, from best to worst."""


def spread(readings: str, most: str | None) -> Result:
    """Return how far the greatest of several readings is from the least; they are `least`, `greatest` and `odd`.

    Parameters
    ----------
    readings : str
        Two or more amounts of one kind, each with its unit, with commas between them; a name may stand before a colon.
    most : str or None
        How far apart they may be, with its unit; then `judgement` says whether they are.

    Raises
    ------
    ReadingError
        For fewer than two, what can't be read, and amounts of different kinds.
    """
    named = [_reading(number, text) for number, text in enumerate(listed(readings), 1)]
    if len(named) < 2:
        raise ReadingError("two readings at least have a spread", say="I need two readings at least.")
    unit, kind = named[0][1].unit, named[0][1].kind
    if any(value.kind is not kind for _, value in named):
        raise ReadingError("the readings are of different kinds", say="Those readings are of different kinds.")
    if kind is Kind.TEMPERATURE:
        raise ReadingError("a temperature has no spread here", say="I can't compare temperatures.")
    values = [(name, convert(value, unit).magnitude) for name, value in named]
    low, high = (end(values, key=lambda each: each[1]) for end in (min, max))
    middle = sum((value for _, value in values), Decimal(0)) / len(values)
    odd = max(values, key=lambda each: abs(each[1] - middle))
    apart = Amount(high[1] - low[1], unit, kind)
    judged = _judged(apart, most)
    return Result(
        value=apart,
        because="It is the greatest, less the least.",
        inputs=(("readings", readings), *((("most", most),) if most else ())),
        more=(
            ("least", Amount(low[1], unit, kind)), ("greatest", Amount(high[1], unit, kind)),
            ("mean", Amount(middle, unit, kind)), ("odd", odd[0]),
            *((("judgement", judged),) if judged else ()),
        ),
        also="They go from {least} to {greatest}. " + ("That is {judgement}." if judged else "Farthest off is {odd}."),
        source="arithmetic",
    )  # fmt: skip


def _reading(number: int, text: str) -> tuple[str, Amount]:
    name, sign, value = text.rpartition(":")
    return (name.strip() if sign else f"number {number}"), read_amount(value.strip(), None)


def _judged(apart: Amount, most: str | None) -> str:
    if not most:
        return ""
    bound = convert(read_amount(most, apart.kind), apart.unit).magnitude
    return "too far apart" if apart.magnitude > bound else "near enough"


def worst(findings: str) -> Finding:
    """Return the worst of several findings, and which those are.

    Parameters
    ----------
    findings : str
        Each with its name, a colon and `good`, `soon` or `stop`, with commas between them.
    """
    named = [_finding(text) for text in findings.split(",") if text.strip()]
    if not named:
        raise ReadingError("no finding was told", say="Tell me what you found.")
    rank = max(RANKS.index(found) for _, found in named)
    those = [name for name, found in named if RANKS.index(found) == rank]
    text = (
        "Good: nothing was found.", f"Soon: {', '.join(those)}.", f"Stop, do not drive: {', '.join(those)}."
    )[rank]  # fmt: skip
    return Finding(
        value=text,
        because="The worst of all decides.",
        inputs=(("findings", findings),),
        more=(("worst", RANKS[rank]), ("found", Amount(Decimal(len(named)), "one", Kind.COUNT))),
        assumptions=("one that was not looked at is not good: name it as stop",),
        source="arithmetic of the worst",
    )


def _finding(text: str) -> tuple[str, str]:
    name, _, found = text.rpartition(":")
    if not name.strip() or found.strip().lower() not in RANKS:
        raise ReadingError(
            f"{text.strip()!r}: write what it is, a colon, and {', '.join(RANKS[:-1])} or {RANKS[-1]}",
            say="Say what it is, and then good, soon or stop.",
        )
    return name.strip(), found.strip().lower()


def drained(drained: Amount, poured: Amount, apart: Amount) -> Finding:
    """Return whether as much was poured in as was drained; what is missing is `missing`, or too much `too much`.

    Parameters
    ----------
    drained, poured : Amount
        Measured alike [volume], above zero.
    apart : Amount
        How far apart they may be, of what was drained [share].
    """
    out, back = drained.magnitude, convert(poured, drained.unit).magnitude
    if out <= 0:
        raise ReadingError("nothing was drained", say="How much came out? It must be more than nothing.")
    share = 100 * abs(back - out) / out
    alike = share <= convert(apart, "percent").magnitude
    lacks = back < out
    text = "That is alike." if alike else ("Too little went in." if lacks else "Too much went in.")
    return Finding(
        value=text,
        because="I compared what went in with what came out.",
        inputs=(("drained", drained), ("poured", poured), ("apart", apart)),
        more=(
            ("missing" if lacks else "more", Amount(abs(out - back), drained.unit, Kind.VOLUME)),
            ("share", Amount(share, "percent", Kind.SHARE)),
        ),
        also="It differs by {missing}." if lacks else "It differs by {more}.",
        assumptions=(
            f"up to {write_amount(apart)} apart is alike (common practice, no source)",
            "measured at one warmth",
        ),
        cautions=() if alike else ("Look for air in the system, a leak, and a level that was wrong before.",),
        source="common practice, no source",
    )


CALCULATIONS = (
    Calculation(
        name="spread",
        subject="numbers",
        title="how far several readings are apart: cells, wheels, places on a disc",
        inputs=(
            Input("readings", Form.TEXT, "amounts of one kind with commas between them; a name may go before a colon"),
            Input("most", Form.TEXT, "how far apart they may be", default=""),
        ),
        work=spread,
        example={"readings": "1.265 g/mL, 1.260 g/mL, 1.225 g/mL", "most": "0.030 g/mL"},
        formula="greatest − least",
        source="arithmetic",
        valid="two readings or more",
    ),
    Calculation(
        name="worst-of",
        subject="numbers",
        title="the worst of several findings",
        inputs=(Input("findings", Form.TEXT, "each: what it is, a colon, and good, soon or stop"),),
        work=worst,
        example={"findings": "tyres: good, brakes: soon, lamps: good"},
        formula="the worst decides",
        source="arithmetic of the worst",
        valid="one finding or more",
    ),
    Calculation(
        name="drained-poured",
        subject="fluids",
        title="whether as much was poured in as was drained",
        inputs=(
            Input("drained", Kind.VOLUME, "what came out", least="0.01 L", most="100 L"),
            Input("poured", Kind.VOLUME, "what went in", most="100 L"),
            Input("apart", Kind.SHARE, "how far apart is still alike", most="50 %", default="10 %"),
        ),
        work=drained,
        example={"drained": "1.9 L", "poured": "1.8 L"},
        formula="|poured − drained|/drained",
        source="common practice, no source",
        valid="both measured alike",
    ),
)
