"""How much to pour in first, and from when on the engine may run. Pure functions over volumes."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from assistant.core.compute.result import Result
from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind, convert

FIRST_FILL_SPANS = Decimal("0.75")
"""The first fill stays below the full mark by this share of the span between the marks.

Common practice, no source: what is missing is easily added, what is too much has to be drawn off."""

_GRADUATIONS = {"metric": ("0.1", "litre"), "imperial": ("0.25", "imperial_pint"), "us": ("0.1", "US_quart")}


def graduation(system: str) -> Amount:
    """Return the smallest step that the owner's jug shows. Common practice, no source."""
    if system not in _GRADUATIONS:
        raise ReadingError(
            f"the system of units {system!r} is not known: choose {', '.join(_GRADUATIONS)}",
            say="I do not know that system of units. Choose metric, imperial or us.",
        )
    step, unit = _GRADUATIONS[system]
    return Amount(Decimal(step), unit, Kind.VOLUME)


def volume_in(volume: Amount, unit: str) -> Decimal:
    """Return the magnitude of a volume in a unit of volume; ReadingError for another kind."""
    convert(volume, "litre")  # also refuses what is no volume but is asked for in its own unit
    return convert(volume, unit).magnitude


def round_down(volume: Amount, step: Amount) -> Amount:
    """Return a volume rounded down to whole steps, in the unit of the step.

    Raises
    ------
    ReadingError
        Where either is no volume, or the step is not above zero.
    """
    given = volume_in(volume, step.unit)
    if not step.magnitude.is_finite() or step.magnitude <= 0:
        raise ReadingError(
            f"a jug can't be graduated in steps of {step.magnitude} {step.unit}: they are above zero",
            say="The marks on the jug must be more than nothing apart. Read them again.",
        )
    steps = (given / step.magnitude).to_integral_value(ROUND_FLOOR)
    return Amount(steps * step.magnitude, step.unit, Kind.VOLUME)


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
    )
