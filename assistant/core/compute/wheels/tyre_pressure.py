"""What a tyre's pressure becomes at another temperature. Pure."""

from __future__ import annotations

from assistant.core.compute.base.calculation import Calculation, Input
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Result
from assistant.core.quantities.units import Amount, Kind, convert

_ZERO_CELSIUS = 273.15


def at_temperature(pressure: Amount, measured_at: Amount, wanted_at: Amount, outside: Amount) -> Result:
    """Return what a gauge would show at another temperature, for the same air in the same volume.

    Parameters
    ----------
    pressure : Amount
        Gauge pressure [pressure], above zero.
    measured_at, wanted_at : Amount
        Temperatures of the air in the tyre [temperature], -50 to 120 °C.
    outside : Amount
        Pressure of the air outside [pressure]; 101.325 kPa at sea level.

    References
    ----------
    Gay-Lussac's law, on the absolute pressure.
    """
    now, then = (real(each, "degree_Celsius") + _ZERO_CELSIUS for each in (measured_at, wanted_at))
    air = real(outside, "kilopascal")
    gauge = (real(pressure, "kilopascal") + air) * then / now - air
    return Result(
        value=convert(amount_of(gauge, "kilopascal"), pressure.unit),
        because="Air in a tyre presses harder when it is warmer.",
        inputs=(("pressure", pressure), ("measured-at", measured_at), ("wanted-at", wanted_at), ("outside", outside)),
        assumptions=("the tyre keeps its volume and loses no air", "the pressure outside stays the same"),
        cautions=("Set the pressure of the placard on cold tyres. Never let air out of a warm one.",),
        source="Gay-Lussac's law",
    )


CALCULATIONS = (
    Calculation(
        name="tyre-pressure",
        subject="tyres",
        title="what a tyre's pressure becomes at another temperature",
        inputs=(
            Input("pressure", Kind.PRESSURE, "what the gauge shows", least="10 kPa", most="1000 kPa"),
            Input("measured-at", Kind.TEMPERATURE, "when it was measured", least="-50 °C", most="120 °C"),
            Input("wanted-at", Kind.TEMPERATURE, "for which it is wanted", least="-50 °C", most="120 °C"),
            Input("outside", Kind.PRESSURE, "pressure of the air outside", least="50 kPa", most="110 kPa",
                  default="101.325 kPa"),
        ),
        work=at_temperature,
        example={"pressure": "2.3 bar", "measured-at": "15 °C", "wanted-at": "-5 °C"},
        formula="(p + p0)·T2/T1 − p0, T in kelvin",
        source="Gay-Lussac's law",
        valid="dry air, -50 to 120 °C",
    ),
)  # fmt: skip
