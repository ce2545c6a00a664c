"""A 12 V lead-acid battery: its state of charge, its charging voltage, and whether it still cranks. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import between, points
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result, verdict
from assistant.core.compute.electrics.battery_tests import least_under_load
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

TABLE_AT = 26.7
"""Temperature for which the densities of the table hold [°C], 80 °F."""
PER_KELVIN = 0.004 / (10 / 1.8)
"""How much density falls for each kelvin of warmth [g/mL]: 0.004 for 10 °F, a battery maker's page."""
VOLTS_PER_KELVIN = 0.024 / (10 / 1.8)
"""What a colder battery shows too little for each kelvin [V]: 0.024 for 10 °F, a battery maker's page."""
LEAD_OFF, LITHIUM_OFF = 15, 50
"""How far the state of charge may be off [percent].

Lead: a meter good to 1 % and the tables of several makers (lists.ettus.com). Lithium: its voltage hardly changes, and
two printed curves differ by that much."""
DENSITY_OFF = 5
"""How far it may be off by density [percent]: printed tables differ by 0.004 g/mL, a hydrometer is read to 0.005."""
_LITHIUM = (
    "The voltage of lithium tells little: believe its own meter. "
    "Charge it only with a charger for it, and never below freezing."
)
_ACID = "Battery acid burns, and its gas explodes. Wear eye protection, and keep sparks away."
_SWELLS = (
    "A lithium battery that is charged too high swells and may burn. Leave it alone, and go away, where it swells."
)
_SOURCE = "a battery maker's table (discoverbattery.com)"
_SOURCES = {
    "flooded": _SOURCE,
    "EFB": _SOURCE,
    "AGM": "a table of an owner's manual (publications.polaris.com)",
    "lithium": "a chart (gridwright.com), weak",
}


def charge_by_voltage(voltage: Amount, kind: str, temperature: Amount, battery_states: Sequence[Row]) -> Result:
    """Return the state of charge by the voltage at rest; what the temperature adds is `correction`.

    Parameters
    ----------
    voltage : Amount
        At the posts, at rest [voltage].
    kind : str
        `flooded`, `EFB`, `AGM` or `lithium`, as the label says.
    temperature : Amount
        Of the battery [temperature]; lithium is not corrected.

    Raises
    ------
    ReadingError
        Outside of the table: below, the battery is flat or has a fault; above, it has not rested.

    References
    ----------
    discoverbattery.com: 12.53 V at 30 °F and 12.698 V at 100 °F are full, as 12.65 V at 80 °F.
    """
    away = TABLE_AT - real(temperature, "degree_Celsius")
    correction = 0.0 if kind == "lithium" else VOLTS_PER_KELVIN * away
    volts = real(voltage, "volt") + correction
    line = points(battery_states, "volts", "percent", kind=kind)
    low, high = line[0][0], line[-1][0]
    if not low <= volts <= high:
        flat = volts < low
        raise ReadingError(
            f"{volts:.4g} V is {'below' if flat else 'above'} the table, {low} to {high} V: "
            + ("it is flat, or a cell is dead" if flat else "let it rest for six hours, then measure again"),
            say="It is flat, or a cell is dead." if flat else "Let it rest six hours. Then measure again.",
        )
    return Result(
        value=amount_of(between(volts, line, "voltage"), "percent"),
        uncertainty=Amount(Decimal(LITHIUM_OFF if kind == "lithium" else LEAD_OFF), "percent", Kind.SHARE),
        because="I looked it up between the lines of the table for that kind.",
        inputs=(("voltage", voltage), ("kind", kind), ("temperature", temperature)),
        more=(("correction", amount_of(correction, "volt")),),
        assumptions=(
            "a battery that has rested for six hours",
            "tables of different makers differ by up to 0.15 volts",
            *(("an EFB is read as a flooded battery (common practice, no source)",) if kind == "EFB" else ()),
        ),
        cautions=(_LITHIUM if kind == "lithium" else _ACID,),
        source=_SOURCES[kind],
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
    line = points(battery_states, "density", "percent", kind="flooded")
    return Result(
        value=amount_of(between(corrected, line, "density"), "percent"),
        uncertainty=Amount(Decimal(DENSITY_OFF), "percent", Kind.SHARE),
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


def charging(voltage: Amount, kind: str, charging_limits: Sequence[Row]) -> Finding:
    """Return whether the voltage with the engine running is usual for a kind of battery: `least` to `most`.

    Parameters
    ----------
    voltage : Amount
        At the posts [voltage].
    kind : str
        `flooded`, `EFB`, `AGM` or `lithium`.
    """
    row = next(row for row in charging_limits if row["kind"] == kind)
    low, high = (Amount(Decimal(row[end]), "volt", Kind.VOLTAGE) for end in ("least", "most"))
    volts = convert(voltage, "volt").magnitude
    if volts < low.magnitude:
        text = "Too little: look at belt, alternator and cables. Some cars charge less on purpose."
    elif volts > high.magnitude:
        text = "Too much: the regulator may be broken, or the battery is of another kind than the car charges."
    else:
        text = "It is usual."
    return Finding(
        value=text,
        because=f"For this kind, {write_amount(low)} to {write_amount(high)} are usual.",
        inputs=(("voltage", voltage), ("kind", kind)),
        more=(("least", low), ("most", high)),
        assumptions=("cars that steer the charge by themselves may be outside: see the manual",),
        cautions=(_SWELLS if kind == "lithium" else _ACID,),
        source="by kind, sellers and a magazine of motorcycles (see the table), weak: no standard was seen",
    )


def cranking(lowest: Amount, measured: Amount, rated: Amount, temperature: Amount, load_test: Sequence[Row]) -> Finding:
    """Return whether a battery still starts the engine, by its voltage while cranking and a tester's current.

    The least voltage, `least`, falls with the cold as it does in a load test; that a starter takes about what such a
    test takes is common practice, no source.

    Parameters
    ----------
    lowest : Amount
        Lowest voltage while cranking [voltage].
    measured : Amount
        Cold-cranking current that a tester found [current]; None where there is no tester.
    rated : Amount
        Cold-cranking current on the label [current], by the same standard; None where unknown.
    temperature : Amount
        Of the battery [temperature], from -18 °C on.
    """
    faults, least = [], least_under_load(temperature, load_test)
    if convert(lowest, "volt").magnitude < least.magnitude:
        faults.append(f"the voltage falls below {least.magnitude:.3g} V")
    if (measured is None) != (rated is None):
        raise ReadingError(
            "measured and rated current go together: give both, or neither", say="I need both currents, or neither."
        )
    if measured is not None and measured.magnitude < rated.magnitude * Decimal("0.8"):
        faults.append("the tester finds less than four fifths of the label")
    return Finding(
        value=verdict(faults, "It cranks well.", wrong="Weak"),
        because="I compared it with the usual bounds.",
        inputs=(("lowest", lowest), *((("measured", measured), ("rated", rated)) if measured is not None else ()),
                ("temperature", temperature)),
        more=(("least", least),),
        also="The least there is {least}.",
        assumptions=("the least by warmth of a load test, and four fifths, are common practice, no source",),
        cautions=("Keep hands and clothes away from belts and fan.",),
        source="common practice, no source",
    )  # fmt: skip


CALCULATIONS = (
    Calculation(
        name="battery-by-voltage",
        subject="battery",
        title="state of charge by the voltage at rest",
        inputs=(
            Input("voltage", Kind.VOLTAGE, "at the posts, after six hours at rest", least="6 V", most="16 V"),
            Input("kind", Form.TEXT, "on the label", default="flooded", options=tuple(_SOURCES)),
            Input("temperature", Kind.TEMPERATURE, "of the battery", least="-40 °C", most="60 °C", default="26.7 °C"),
        ),
        work=charge_by_voltage,
        example={"voltage": "12.4 V", "kind": "AGM", "temperature": "10 °C"},
        formula="voltage + 0.024·(80 °F − t)/10 °F, then straight lines between the points of the table",
        source="a battery maker's table (discoverbattery.com); AGM: an owner's manual; lithium: a chart, weak",
        valid="12 V batteries at rest, within the table of their kind",
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
        valid="1.120 to 1.280 g/mL after correction, batteries whose acid can be drawn",
        tables=("battery-states",),
    ),
    Calculation(
        name="charging-voltage",
        subject="battery",
        title="whether the alternator charges",
        inputs=(
            Input("voltage", Kind.VOLTAGE, "at the posts, engine running", least="6 V", most="20 V"),
            Input("kind", Form.TEXT, "on the label", default="flooded", options=tuple(_SOURCES)),
        ),
        work=charging,
        example={"voltage": "14.2 V", "kind": "AGM"},
        formula="13.5 to 14.8 V flooded, to 14.7 V EFB and AGM, 13.8 to 14.5 V lithium",
        source="wungiel.pl, engineerfix.com, element82.co.nz, roadrunner.travel, weak: no standard was seen",
        valid="12 V systems that do not steer the charge",
        tables=("charging-limits",),
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
            Input("temperature", Kind.TEMPERATURE, "of the battery", least="-40 °C", most="60 °C", default="20 °C"),
        ),
        work=cranking,
        example={"lowest": "10.2 V", "measured": "520 A", "rated": "600 A"},
        formula="at least 9.6 V, less by the cold as in a load test, and four fifths of the label",
        source="common practice, no source",
        valid="12 V lead batteries from -18 °C",
        tables=("load-test",),
    ),
)
