"""A battery under load, and one that stands for long: load test, current at rest, how long it lasts. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Input, Row
from assistant.core.compute.base.lookup import between, points
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

USUAL_REST, MOST_REST = (Amount(Decimal(each), "ampere", Kind.CURRENT) for each in ("0.035", "0.075"))
"""Current of a car asleep: more is excessive by one training course (autoshop101.com), normal is below the other by one
handbook of batteries (jgdarden.com, carfaq10)."""
USED_UP = Decimal("0.4")
"""Share of its charge after which a battery no longer starts the engine: a service bulletin on batteries that stand."""


def least_under_load(temperature: Amount, load_test: Sequence[Row]) -> Amount:
    """Return the least voltage of a sound battery under load, by its warmth [volt]; ReadingError below the table."""
    line = points(load_test, "celsius", "volts")
    warm = min(real(temperature, "degree_Celsius"), line[-1][0])
    if warm < line[0][0]:
        raise ReadingError(
            f"{write_amount(temperature)} is below the table, {line[0][0]:g} °C: warm the battery up first",
            say="That battery is too cold to test. Warm it up first.",
        )
    return amount_of(between(warm, line, "temperature"), "volt")


def load_test(lowest: Amount, temperature: Amount, load_test: Sequence[Row]) -> Finding:
    """Return whether a battery passes a load test, by its warmth; the least voltage is `least`.

    Parameters
    ----------
    lowest : Amount
        After 15 seconds at half of the cold-cranking current on the label [voltage].
    temperature : Amount
        Of the battery [temperature]; above 20 °C the bound is that of 20 °C, below -18 °C it refuses.
    """
    least = least_under_load(temperature, load_test)
    good = convert(lowest, "volt").magnitude >= least.magnitude
    return Finding(
        value="It passes." if good else "It fails: charge it and test again. If it fails again, replace it.",
        because="I compared it with the least voltage for that warmth.",
        inputs=(("lowest", lowest), ("temperature", temperature)),
        more=(("least", least),),
        also="The least there is {least}.",
        assumptions=("charged, half of the cold-cranking current, for 15 seconds", "lead, flooded, EFB or AGM"),
        cautions=("Never test a battery that is frozen, bulged or leaking.",),
        source="service manual of a car of 2009 (Amanti)",
    )


def rest_current(current: Amount) -> Finding:
    """Return whether the current of a car that sleeps is usual; the bounds are `usual` and `most`."""
    flows = convert(current, "ampere").magnitude
    if flows <= USUAL_REST.magnitude:
        text = "It is usual."
    elif flows <= MOST_REST.magnitude:
        text = "Sources differ there. Read the limit in the service manual."
    else:
        text = "It is too much: take out one fuse after the other until it falls."
    return Finding(
        value=text,
        because="I compared it with what a car takes that sleeps.",
        inputs=(("current", current),),
        more=(("usual", USUAL_REST), ("most", MOST_REST)),
        also="Usual is up to {usual}, at most {most}.",
        assumptions=("locked, and asleep for twenty minutes to an hour (common practice, no source)",),
        cautions=("Do not start, and open no door, with the meter in between: it would burn out.",),
        source="autoshop101.com (35 mA), jgdarden.com (75 mA)",
    )


def standing(capacity: Amount, current: Amount, charge: Amount) -> Result:
    """Return after how many days of standing a battery no longer starts the engine [day], rounded down.

    Parameters
    ----------
    capacity : Amount
        On the label [charge].
    current : Amount
        That the car takes asleep [current], above zero.
    charge : Amount
        State of charge at the beginning [share].

    Raises
    ------
    ReadingError
        Where it is so low already.

    References
    ----------
    Service bulletin on batteries that stand: about 40 % of the charge used up, at 25 °C; less where it begins lower.
    """
    spare = convert(charge, "percent").magnitude / 100 - (1 - USED_UP)
    if spare <= 0:
        raise ReadingError(
            f"at {write_amount(charge)} it may not start the engine any more: charge it first",
            say="It is too low already. Charge it first.",
        )
    hours = capacity.magnitude * spare / convert(current, "ampere").magnitude
    return Result(
        value=Amount(Decimal(int(hours / 24)), "day", Kind.DURATION),
        because="It is two fifths of the charge, less what is missing, divided by the current.",
        inputs=(("capacity", capacity), ("current", current), ("charge", charge)),
        also="Charge it before that.",
        assumptions=("a sound battery at 25 °C; cold, age and its own discharge take more",),
        source="service bulletin on batteries that stand (copy at solsticeforum.com)",
    )


_SECONDS = "after 15 seconds at half of the cold-cranking current"

CALCULATIONS = (
    Calculation(
        name="load-test",
        subject="battery",
        title="whether a battery passes a load test, by its warmth",
        inputs=(
            Input("lowest", Kind.VOLTAGE, _SECONDS, least="1 V", most="14 V"),
            Input("temperature", Kind.TEMPERATURE, "of the battery", least="-40 °C", most="60 °C", default="20 °C"),
        ),
        work=load_test,
        example={"lowest": "9.5 V", "temperature": "10 °C"},
        formula="straight lines between the points of the table",
        source="service manual of a car of 2009 (Amanti)",
        valid="12 V lead batteries from -18 °C",
        tables=("load-test",),
    ),
    Calculation(
        name="rest-current",
        subject="battery",
        title="whether the current of a car that sleeps is usual",
        inputs=(Input("current", Kind.CURRENT, "once it sleeps", most="20 A"),),
        work=rest_current,
        example={"current": "0.03 A"},
        formula="compared with 0.035 and 0.075 A",
        source="autoshop101.com, jgdarden.com: common practice, no source of a maker",
        valid="12 V cars",
    ),
    Calculation(
        name="days-of-standing",
        subject="battery",
        title="after how many days of standing a battery no longer starts the engine",
        inputs=(
            Input("capacity", Kind.CHARGE, "on the label", least="5 Ah", most="300 Ah"),
            Input("current", Kind.CURRENT, "that the car takes asleep", least="0.001 A", most="5 A"),
            Input("charge", Kind.SHARE, "state of charge at the beginning", most="100 %", default="100 %"),
        ),
        work=standing,
        example={"capacity": "60 Ah", "current": "0.05 A"},
        formula="(charge − 0.6)·capacity/current",
        source="service bulletin on batteries that stand (copy at solsticeforum.com)",
        valid="sound batteries at 25 °C",
    ),
)
