"""Coolant, brake fluid and battery: what must hold whatever the numbers."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.compute.brakes.fluid import bleeding, line_volume, may_meet, with_water
from assistant.core.compute.coolant import exchange, freezing_point, mixture, share_for
from assistant.core.compute.electrics.battery import charge_by_density, charge_by_voltage, charging
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, amount, convert

TABLES = Library().tables()
GLYCOL, FLUIDS, BATTERY = (TABLES[name] for name in ("glycol-freezing", "brake-fluids", "battery-states"))
WARM, KINDS = amount("26.7 °C"), ("flooded", "EFB", "AGM")
shares = st.decimals("5", "57", places=1)


def percent(number: Decimal) -> Amount:
    return Amount(number, "percent", Kind.SHARE)


@given(shares, shares, st.sampled_from(["ethylene", "propylene"]))
def test_more_glycol_freezes_later_up_to_the_end_of_the_table(one: Decimal, other: Decimal, glycol: str) -> None:
    assume(one < other)
    warm, cold = (freezing_point(percent(share), "volume", glycol, GLYCOL).value.magnitude for share in (one, other))
    assert cold < warm


@given(shares, st.sampled_from(["ethylene", "propylene"]))
def test_share_and_freezing_point_go_there_and_back(share: Decimal, glycol: str) -> None:
    freezes = freezing_point(percent(share), "volume", glycol, GLYCOL).value
    assert float(share_for(freezes, glycol, GLYCOL).value.magnitude) == pytest.approx(float(share), abs=1e-6)


@pytest.mark.parametrize("share", ["1 %", "80 %", "100 %"])
def test_beyond_the_table_it_refuses(share: str) -> None:
    with pytest.raises(ReadingError):
        freezing_point(amount(share), "volume", "ethylene", GLYCOL)


@given(st.decimals("1", "20", places=1), shares, shares)
def test_what_is_exchanged_gives_the_wanted_share(system: Decimal, now: Decimal, then: Decimal) -> None:
    whole = Amount(system, "litre", Kind.VOLUME)
    found = exchange(whole, percent(now), percent(then))
    part = found.value.magnitude
    glycol = (system - part) * now / 100 + (part if dict(found.more)["with"] == "concentrate" else 0)
    assert float(100 * glycol / system) == pytest.approx(float(then), abs=1e-9)
    assert 0 <= part <= system
    gallons = exchange(convert(whole, "US_gallon"), percent(now), percent(then)).value
    assert float(convert(gallons, "litre").magnitude) == pytest.approx(float(part), rel=1e-12)


def test_too_strong_a_mixture_is_refused_and_so_is_a_mixture_of_nothing() -> None:
    with pytest.raises(ReadingError, match="at most 60 %"):
        exchange(amount("6 L"), amount("30 %"), amount("70 %"))
    with pytest.raises(ReadingError):
        mixture(amount("0 L"), amount("0 L"))


@pytest.mark.parametrize("other", ["DOT 3", "DOT 4", "DOT 5.1"])
def test_silicone_meets_no_glycol_either_way(other: str) -> None:
    for pair in (("DOT 5", other), (other, "DOT 5")):
        assert may_meet(*pair, FLUIDS).value.startswith("No.")


def test_a_weaker_fluid_is_told() -> None:
    assert "boils sooner" in may_meet("DOT 4", "DOT 3", FLUIDS).value
    assert "boils sooner" not in may_meet("DOT 3", "DOT 4", FLUIDS).value


@given(st.decimals("1", "8", places=1), st.decimals("0.5", "8", places=1))
def test_twice_the_bore_takes_four_times_as_much(bore: Decimal, length: Decimal) -> None:
    line = Amount(length, "metre", Kind.LENGTH)
    once, twice = (
        line_volume(Amount(width, "millimetre", Kind.LENGTH), line, amount("3", Kind.COUNT)).value.magnitude
        for width in (bore, 2 * bore)
    )
    assert float(twice / once) == pytest.approx(4, rel=1e-9)


@given(st.decimals("11.9", "12.6", places=2), st.decimals("11.9", "12.6", places=2), st.sampled_from(KINDS))
def test_more_voltage_is_more_charge(one: Decimal, other: Decimal, kind: str) -> None:
    assume(one < other)
    low, high = (
        charge_by_voltage(Amount(each, "volt", Kind.VOLTAGE), kind, WARM, BATTERY).value.magnitude
        for each in (one, other)
    )
    assert low < high


@pytest.mark.parametrize(("volts", "hint"), [("11.2 V", "cell is dead"), ("13.1 V", "rest for six hours")])
def test_a_flat_or_unrested_battery_is_no_state_of_charge(volts: str, hint: str) -> None:
    with pytest.raises(ReadingError, match=hint):
        charge_by_voltage(amount(volts), "flooded", WARM, BATTERY)


@pytest.mark.parametrize("volts", ["12.65 V", "12.73 V", "12.77 V"])
def test_what_one_maker_or_another_calls_full_is_full(volts: str) -> None:
    assert charge_by_voltage(amount(volts), "flooded", WARM, BATTERY).value.magnitude == 100
    assert charge_by_density(amount("1.277 g/mL"), WARM, BATTERY).value.magnitude == 100


@pytest.mark.parametrize("kind", KINDS)
def test_a_cold_battery_of_lead_is_fuller_than_it_shows(kind: str) -> None:
    warm, cold = (charge_by_voltage(amount("12.3 V"), kind, each, BATTERY).value for each in (WARM, amount("-5 °C")))
    assert cold.magnitude > warm.magnitude


def test_lithium_is_neither_lead_nor_corrected() -> None:
    found = [charge_by_voltage(amount("13.2 V"), "lithium", each, BATTERY) for each in (WARM, amount("-5 °C"))]
    assert found[0].value == found[1].value and found[0].value.magnitude == 40
    assert found[0].uncertainty is not None and found[0].uncertainty.magnitude >= 25
    with pytest.raises(ReadingError):
        charge_by_voltage(amount("13.3 V"), "flooded", WARM, BATTERY)


@given(st.decimals("1.18", "1.22", places=3), st.decimals("0", "40", places=0))
def test_units_of_density_and_temperature_do_not_matter(density: Decimal, celsius: Decimal) -> None:
    dense, warm = (
        Amount(density, "gram_per_millilitre", Kind.DENSITY),
        Amount(celsius, "degree_Celsius", Kind.TEMPERATURE),
    )
    one = charge_by_density(dense, warm, BATTERY).value
    other = charge_by_density(
        convert(dense, "kilogram_per_cubic_metre"), convert(warm, "degree_Fahrenheit"), BATTERY
    ).value
    assert float(one.magnitude) == pytest.approx(float(other.magnitude), abs=1e-6)


@pytest.mark.parametrize(("volts", "word"), [("12.9 V", "Too little"), ("14.2 V", "usual"), ("15.6 V", "Too much")])
def test_charging_is_judged_by_both_bounds(volts: str, word: str) -> None:
    assert word in charging(amount(volts), "flooded", TABLES["charging-limits"]).value


def test_silicone_takes_no_water_and_a_line_needs_a_length() -> None:
    with pytest.raises(ReadingError, match="takes up no water"):
        with_water("DOT 5", amount("1 %"), FLUIDS)
    for lines in ("", "rear left", "rear left: 3 kg", "rear left: 40 m", "rear left: 0 m"):
        with pytest.raises(ReadingError):
            bleeding(lines, amount("3 mm"), amount("3", Kind.COUNT), amount("0.5 L"))
