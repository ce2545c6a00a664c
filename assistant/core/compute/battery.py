"""A 12 V lead-acid battery: its state of charge, its charging voltage, and whether it still cranks. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.calculation import Calculation, Input, Row
from assistant.core.compute.lookup import between, points
from assistant.core.compute.real import amount_of, real
from assistant.core.compute.result import Finding, Result, verdict
from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind, convert, write_amount

TABLE_AT = 26.7
"""Temperature for which the densities of the table hold [°C], 80 °F."""
PER_KELVIN = 0.004 / (10 / 1.8)
"""How much density falls for each kelvin of warmth [g/mL]: 0.004 for 10 °F, a battery maker's page."""
LEAST_CRANKING = Amount(Decimal("9.6"), "volt", Kind.VOLTAGE)
"""Least voltage while cranking at about 21 °C. Common practice, no source."""
_ACID = "Battery acid burns, and its gas explodes. Wear eye protection, and keep sparks away."
_SOURCE = "a battery maker's table (discoverbattery.com)"


def charge_by_voltage(voltage: Amount, battery_states: Sequence[Row]) -> Result:
    """Return the state of charge by the voltage at rest.

    ReadingError outside of 11.89 to 12.65 V: below, the battery is flat or has a fault; above, it has not rested.
    """
    volts = real(voltage, "volt")
    line = points(battery_states, "volts", "percent")
    if not line[0][0] <= volts <= line[-1][0]:
        low = volts < line[0][0]
        raise ReadingError(
            f"{volts:g} V is {'below' if low else 'above'} the table, {line[0][0]} to {line[-1][0]} V: "
            + ("it is flat, or a cell is dead" if low else "let it rest for six hours, then measure again"),
            say="It is flat, or a cell is dead." if low else "Let it rest six hours. Then measure again.",
        )
    return Result(
        value=amount_of(between(volts, line, "voltage"), "percent"),
        uncertainty=Amount(Decimal(15), "percent", Kind.SHARE),
        because="I looked it up between the lines of the maker's table.",
        inputs=(("voltage", voltage),),
        assumptions=(
            "a flooded battery that has rested for six hours",
            "tables of different makers differ by up to 0.15 volts",
        ),
        cautions=(_ACID,),
        source=_SOURCE,
    )


def charge_by_density(density: Amount, temperature: Amount, battery_states: Sequence[Row]) -> Result:
    """Return the state of charge by the density of the acid, corrected for its temperature; that is `corrected`.

    Parameters
    ----------
    density : Amount
        What the hydrometer shows [density].
    temperature : Amount
        Of the acid [temperature].
    """
    correction = PER_KELVIN * (real(temperature, "degree_Celsius") - TABLE_AT)
    corrected = real(density, "gram_per_millilitre") + correction
    line = points(battery_states, "density", "percent")
    return Result(
        value=amount_of(between(corrected, line, "density"), "percent"),
        because="I corrected the density for its warmth, and looked it up.",
        inputs=(("density", density), ("temperature", temperature)),
        more=(
            ("correction", amount_of(correction, "gram_per_millilitre")),
            ("corrected", amount_of(corrected, "gram_per_millilitre")),
        ),
        assumptions=("0.004 for each 10 °F from 80 °F", "the acid is mixed, and water was not just added"),
        cautions=(_ACID,),
        source=_SOURCE,
    )


def charging(voltage: Amount) -> Finding:
    """Return whether the voltage with the engine running is usual; the bounds under `least` and `most`."""
    low, high = (Amount(Decimal(each), "volt", Kind.VOLTAGE) for each in ("13.5", "14.8"))
    volts = convert(voltage, "volt").magnitude
    if volts < low.magnitude:
        text = "Too little: look at belt, alternator and cables. Some cars charge less on purpose."
    elif volts > high.magnitude:
        text = "Too much: the regulator may be broken, and the battery boils."
    else:
        text = "It is usual."
    return Finding(
        value=text,
        because="Usual is thirteen and a half to fourteen point eight volts.",
        inputs=(("voltage", voltage),),
        more=(("least", low), ("most", high)),
        assumptions=("cars that steer the charge by themselves may be outside: see the manual",),
        cautions=(_ACID,),
        source="13.5 to 14.8 V by temperature (wungiel.pl), weak",
    )


def cranking(lowest: Amount, measured: Amount, rated: Amount) -> Finding:
    """Return whether a battery still starts the engine, by its voltage while cranking and a tester's current.

    Parameters
    ----------
    lowest : Amount
        Lowest voltage while cranking [voltage].
    measured : Amount
        Cold-cranking current that a tester found [current]; None where there is no tester.
    rated : Amount
        Cold-cranking current on the label [current], by the same standard; None where unknown.
    """
    faults = []
    if convert(lowest, "volt").magnitude < LEAST_CRANKING.magnitude:
        faults.append(f"the voltage falls below {write_amount(LEAST_CRANKING)}")
    if (measured is None) != (rated is None):
        raise ReadingError(
            "measured and rated current go together: give both, or neither", say="I need both currents, or neither."
        )
    if measured is not None and measured.magnitude < rated.magnitude * Decimal("0.8"):
        faults.append("the tester finds less than four fifths of the label")
    return Finding(
        value=verdict(faults, "It cranks well.", wrong="Weak"),
        because="I compared it with the usual bounds.",
        inputs=(("lowest", lowest), *((("measured", measured), ("rated", rated)) if measured is not None else ())),
        assumptions=("about 21 °C; 9.6 volts and four fifths are common practice, no source",),
        cautions=("Keep hands and clothes away from belts and fan.",),
        source="common practice, no source",
    )


CALCULATIONS = (
    Calculation(
        name="battery-by-voltage",
        subject="battery",
        title="state of charge by the voltage at rest",
        inputs=(Input("voltage", Kind.VOLTAGE, "at the posts, after six hours at rest", least="6 V", most="16 V"),),
        work=charge_by_voltage,
        example={"voltage": "12.4 V"},
        formula="straight lines between the points of the table",
        source=_SOURCE,
        valid="flooded 12 V batteries, 11.89 to 12.65 V",
        tables=("battery-states",),
    ),
    Calculation(
        name="battery-by-density",
        subject="battery",
        title="state of charge by the density of the acid",
        inputs=(
            Input("density", Kind.DENSITY, "what the hydrometer shows", least="1 g/mL", most="1.4 g/mL"),
            Input("temperature", Kind.TEMPERATURE, "of the acid", least="-20 °C", most="55 °C", default="26.7 °C"),
        ),
        work=charge_by_density,
        example={"density": "1.250 g/mL", "temperature": "50 °F"},
        formula="density + 0.004·(t − 80 °F)/10 °F, then the table",
        source=_SOURCE,
        valid="1.120 to 1.265 g/mL after correction",
        tables=("battery-states",),
    ),
    Calculation(
        name="charging-voltage",
        subject="battery",
        title="whether the alternator charges",
        inputs=(Input("voltage", Kind.VOLTAGE, "at the posts, engine running", least="6 V", most="20 V"),),
        work=charging,
        example={"voltage": "14.2 V"},
        formula="13.5 to 14.8 V",
        source="wungiel.pl, weak: no standard was seen",
        valid="12 V systems that do not steer the charge",
    ),
    Calculation(
        name="cranking",
        subject="battery",
        title="whether the battery still starts the engine",
        inputs=(
            Input("lowest", Kind.VOLTAGE, "while cranking", least="1 V", most="14 V"),
            Input(
                "measured", Kind.CURRENT, "cold-cranking current by a tester", least="10 A", most="2000 A", default=""
            ),
            Input("rated", Kind.CURRENT, "cold-cranking current on the label", least="10 A", most="2000 A", default=""),
        ),
        work=cranking,
        example={"lowest": "10.2 V", "measured": "520 A", "rated": "600 A"},
        formula="at least 9.6 V, and four fifths of the label",
        source="common practice, no source",
        valid="12 V, about 21 °C",
    ),
)
