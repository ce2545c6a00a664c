"""What a dipstick reading means, and what to pour or draw off. Pure functions; a reading is an interval."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.result import Result
from assistant.core.compute.jug import round_down, volume_in
from assistant.core.compute.marks import checked, span_in, status
from assistant.core.compute.oil.fill import JUG, SPAN
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, Level

BLIND_POUR = Decimal("0.5")
"""Most to pour at once, as a share of the span, where the oil stands below the low mark: how far can't be read.

Common practice, no source: then the dipstick is read again."""


def _on_the_jug(volume: Amount, step: Amount) -> Amount:
    """Return a volume rounded down to the step of the jug, or to half of it where that would be nothing."""
    half_step = Amount(step.magnitude / 2, step.unit, Kind.VOLUME)
    return round_down(volume, step if volume.magnitude >= step.magnitude else half_step)


def _from_full(level: Level, marks: Decimal, unit: str) -> tuple[Decimal, Amount, Amount]:
    """Return on which side of the full mark a reading stands most likely, how far from it, and how sure that is.

    A reading is an interval of the span: its middle is the likeliest, and half of its width is how far it may be off.
    """
    middle, half = (level.lowest + level.highest) / 2, (level.highest - level.lowest) / 2
    above = middle - 1
    return above, Amount(abs(above) * marks, unit, Kind.VOLUME), Amount(half * marks, unit, Kind.VOLUME)


def top_up(level: Level, span: Amount, step: Amount) -> Result:
    """Return what to pour in so that even the upper end of the reading does not pass the full mark.

    Where the oil stands below the low mark, it is at most half of the span: pour, and read again.

    Parameters
    ----------
    level : Level
        The reading, as an interval of the span: 0 is the low mark, 1 the full mark.
    span : Amount
        Volume between the marks [volume], above zero.
    step : Amount
        Graduation of the jug [volume]; the result is rounded down to it, or to half of it where that would be nothing.

    Returns
    -------
    Result
        A volume [unit of the step], at least zero.

    Raises
    ------
    ReadingError
        For a kind other than volume, or a span that is not above zero.
    """
    marks = span_in(span, step.unit)
    blind = checked(level).highest < 0
    room = BLIND_POUR if blind else max(Decimal(0), 1 - level.highest)
    volume = Amount(room * marks, step.unit, Kind.VOLUME)
    _, missing, off = _from_full(level, marks, step.unit)
    told = not blind and volume.magnitude > 0
    return Result(
        value=_on_the_jug(volume, step),
        because="It is half of what lies between the marks. Then read again."
        if blind
        else "It is what fits between the upper end of your reading and the full mark, rounded down.",
        inputs=(("span", span),),
        more=(("missing", missing), ("give or take", off)) if told else (),
        also="Up to the full mark it lacks {missing±give or take}." if told else "",
        assumptions=("a reading in words is good to an eighth of the span (common practice, no source)",),
        source="arithmetic on the vehicle's span, never above the full mark",
    )


def draw_off(level: Level, span: Amount) -> Result:
    """Return about how much to draw off so that even the upper end of the reading comes down to the full mark.

    A reading is less than a span wide, so its lower end stays above the low mark. Parameters and errors are
    those of `top_up`; the volume is in the unit of the span, rounded up to a tenth of it, at least zero.
    """
    marks = span_in(span, span.unit)
    surplus = max(Decimal(0), checked(level).highest - 1) * marks
    above, stands, off = _from_full(level, marks, span.unit)
    return Result(
        value=Amount(surplus.quantize(Decimal("0.1"), ROUND_CEILING), span.unit, Kind.VOLUME),
        because="It is how far the upper end of your reading stands above the full mark. It is only an estimate.",
        inputs=(("span", span),),
        more=(("too much", stands), ("give or take", off)) if above > 0 else (),
        also="Above the full mark stands {too much±give or take}." if above > 0 else "",
        source="arithmetic on the vehicle's span",
    )


SETTLED = "settled"
PROVISIONAL = {
    "ramp": "The car is not level.",
    "no wait": "The oil has not run down yet.",
    "hot": "Hot oil stands higher.",
}
"""Why a reading may be wrong: then at most half of what is missing is poured, and read again."""


def top_up_by_reading(reading: Level, span: Amount, jug: Amount, state: str) -> Result:
    """Return what to pour in, and where that leaves the level; half of it while the reading is provisional.

    Parameters
    ----------
    reading : Level
        Of the dipstick.
    span, jug : Amount
        As in `top_up`.
    state : str
        `settled`, or why it is provisional: `ramp`, `no wait`, `hot`.

    Raises
    ------
    ReadingError
        Where the oil stands above the full mark: then some has to be drawn off.
    """
    if status(reading) == "over":
        too_much = draw_off(reading, span).value
        raise ReadingError(
            f"it stands above the full mark: draw off about {too_much.magnitude} {too_much.unit}, and do not run it",
            say="There is too much oil. Draw some off. Do not run the engine.",
        )
    found = top_up(reading, span, jug)
    value = found.value
    if state != SETTLED:
        value = _on_the_jug(Amount(value.magnitude / 2, value.unit, Kind.VOLUME), jug)
    added = value.magnitude / volume_in(span, value.unit) * 100
    low, high = (Amount(end * 100 + added, "percent", Kind.SHARE) for end in (reading.lowest, reading.highest))
    return Result(
        value=value,
        because=found.because
        if state == SETTLED
        else f"{PROVISIONAL[state]} So only half now. Then wait, and read again.",
        inputs=(("reading", reading.said), ("span", span), ("jug", jug), ("state", state)),
        more=(("at least after", low), ("at most after", high), *found.more),
        also=found.also,
        assumptions=found.assumptions,
        cautions=("Never above the full mark.",),
        source=found.source,
    )


def room_by_reading(reading: Level, span: Amount, jug: Amount) -> Result:
    """Return how much fits below the full mark; nothing where it stands above that. Parameters as in `top_up`."""
    return top_up(reading, span, jug)


def draw_off_by_reading(reading: Level, span: Amount) -> Result:
    """Return about how much to draw off where the oil stands above the full mark. As `draw_off`."""
    found = draw_off(reading, span)
    return Result(
        value=found.value,
        because=found.because,
        inputs=(("reading", reading.said), ("span", span)),
        more=found.more,
        also=found.also,
        cautions=("Do not run the engine with too much oil. Hot oil burns.",),
        assumptions=("an estimate: draw off, and read again",),
        source=found.source,
    )


_READING = Input("reading", Form.LEVEL, "near low, halfway, 3/8, 40 %, 5 mm of 20 mm, above full")

CALCULATIONS = (
    Calculation(
        name="top-up",
        subject="oil-level",
        title="how much oil to add to a dipstick's reading",
        inputs=(
            _READING,
            SPAN,
            JUG,
            Input("state", Form.TEXT, "of the reading", default=SETTLED, options=(SETTLED, *PROVISIONAL)),
        ),
        work=top_up_by_reading,
        example={"reading": "near low", "span": "1 L"},
        formula="(1 − upper end of the reading)·span, rounded down to the jug",
        source="arithmetic; never above the full mark: a car's handbook of 2005",
        valid="readings from below low to full",
    ),
    Calculation(
        name="room-to-full",
        subject="oil-level",
        title="how much fits below the full mark, by a settled reading",
        inputs=(_READING, SPAN, JUG),
        work=room_by_reading,
        example={"reading": "near low", "span": "1 L"},
        formula="(1 − upper end of the reading)·span, rounded down to the jug; nothing above full",
        source="arithmetic on the span, never above the full mark",
        valid="readings of all kinds",
    ),
    Calculation(
        name="draw-off",
        subject="oil-level",
        title="how much oil to draw off",
        inputs=(_READING, SPAN),
        work=draw_off_by_reading,
        example={"reading": "above full", "span": "1 L"},
        formula="(upper end of the reading − 1)·span, rounded up",
        source="arithmetic",
        valid="an estimate",
    ),
)
