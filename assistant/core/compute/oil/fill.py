"""How much to pour in first, and from when on the engine may run. Pure functions over volumes."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.result import Result
from assistant.core.compute.jug import round_down, volume_in
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind

FIRST_FILL_SPANS = Decimal("0.75")
"""The first fill stays below the full mark by this share of the span between the marks.

Common practice, no source: what is missing is easily added, what is too much has to be drawn off."""


def _capacity_and_span(capacity: Amount, span: Amount, unit: str) -> tuple[Decimal, Decimal]:
    whole, marks = volume_in(capacity, unit), volume_in(span, unit)
    if not (whole.is_finite() and marks.is_finite() and 0 < marks < whole):
        raise ReadingError(
            f"a capacity of {capacity.magnitude} {capacity.unit} with {span.magnitude} {span.unit} between the marks "
            "can't be: both are above zero, and the capacity is the larger",
            say="The capacity must be larger than the amount between the marks.",
        )
    return whole, marks


def first_fill(capacity: Amount, span: Amount, step: Amount) -> Result:
    """Return what to pour in first: the capacity less 0.75 of the span, rounded down to what the jug shows.

    Where a coarse jug would round it below `safe_minimum`, it is the next graduation above that, so that the
    engine may run; it never reaches the capacity.

    Parameters
    ----------
    capacity : Amount
        Fill with a new filter, to the full mark [volume], above the span.
    span : Amount
        Volume between the dipstick's marks [volume], above zero.
    step : Amount
        Graduation of the jug [volume].

    Raises
    ------
    ReadingError
        For a kind other than volume, a span that does not lie between zero and the capacity, or a jug so coarse
        that none of its graduations lies between the marks.
    """
    whole, marks = _capacity_and_span(capacity, span, step.unit)
    target = round_down(Amount(whole - FIRST_FILL_SPANS * marks, step.unit, Kind.VOLUME), step)
    if target.magnitude < whole - marks:
        target = Amount(target.magnitude + step.magnitude, step.unit, Kind.VOLUME)
    if target.magnitude >= whole:
        raise ReadingError(
            f"steps of {step.magnitude} {step.unit} are too coarse for {span.magnitude} {span.unit} between the marks",
            say="That jug is too coarse for this engine. Take one with finer marks.",
        )
    return Result(
        value=target,
        because="It is the capacity, less three quarters of what lies between the marks.",
        inputs=(("capacity", capacity), ("span", span)),
        assumptions=("the first fill aims a quarter above the low mark (common practice, no source)",),
        source="arithmetic on the vehicle's capacity and span",
    )


def safe_minimum(capacity: Amount, span: Amount) -> Result:
    """Return the least that must have been poured in before the engine runs: what reaches the low mark.

    It is in the unit of the capacity, rounded up to a thousandth. Parameters and errors are those of `first_fill`.
    """
    whole, marks = _capacity_and_span(capacity, span, capacity.unit)
    return Result(
        value=Amount((whole - marks).quantize(Decimal("0.001"), ROUND_CEILING), capacity.unit, Kind.VOLUME),
        because="It is the capacity, less what lies between the marks.",
        inputs=(("capacity", capacity), ("span", span)),
        assumptions=("the low mark is the least that the maker allows (definition of the mark)",),
        source="arithmetic on the vehicle's capacity and span",
    )


def fill_by_filter(
    capacity: Amount, span: Amount, jug: Amount, new_filter: str, filter_volume: Amount | None
) -> Result:
    """Return what to pour in first, with a new filter or with the old one left in; the rest as in `first_fill`.

    The capacity is that with a new filter; where the old one stays, what it holds is already in the engine.

    Raises
    ------
    ReadingError
        Where the filter stays and it is not told how much it holds.
    """
    if new_filter == "no":
        if filter_volume is None:
            raise ReadingError(
                "how much the old filter holds is needed, for it stays full: give filter-volume, or the manual's "
                "capacity without filter",
                say="How much oil does the filter hold? Look in the manual.",
            )
        rest = capacity.magnitude - volume_in(filter_volume, capacity.unit)
        capacity = Amount(rest, capacity.unit, Kind.VOLUME)
    found = first_fill(capacity, span, jug)
    least = safe_minimum(capacity, span)
    return Result(
        value=found.value,
        because=found.because,
        inputs=(*found.inputs, ("jug", jug), ("new-filter", new_filter)),
        assumptions=found.assumptions,
        more=(("least before the engine runs", least.value),),
        cautions=("Then run it for a minute, wait, and read the dipstick on level ground.",),
        source=found.source,
    )


CAPACITY = Input("capacity", Kind.VOLUME, "to the full mark, with a new filter", least="0.3 L", most="60 L")
SPAN = Input("span", Kind.VOLUME, "volume between the dipstick's marks", least="0.05 L", most="20 L")
JUG = Input("jug", Kind.VOLUME, "smallest step that your jug shows", least="0.01 L", most="2 L", default="0.1 L")

CALCULATIONS = (
    Calculation(
        name="first-fill",
        subject="oil-level",
        title="how much oil to pour in first",
        inputs=(
            CAPACITY,
            SPAN,
            JUG,
            Input("new-filter", Form.TEXT, "whether the filter is new", default="yes", options=("yes", "no")),
            Input("filter-volume", Kind.VOLUME, "what the old filter holds", most="5 L", default=""),
        ),
        work=fill_by_filter,
        example={"capacity": "4.3 L", "span": "1 L"},
        formula="capacity − 0.75·span, rounded down to the jug",
        source="arithmetic; three quarters are common practice",
        valid="a span below the capacity",
    ),
    Calculation(
        name="least-fill",
        subject="oil-level",
        title="from how much oil on an engine may run",
        inputs=(CAPACITY, SPAN),
        work=safe_minimum,
        example={"capacity": "4.3 L", "span": "1 L"},
        formula="capacity − span",
        source="arithmetic; the low mark is the least that the maker allows",
        valid="a span below the capacity",
    ),
)
