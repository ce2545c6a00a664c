"""A torque in a vehicle's file against the strength of its bolt (VDI 2230, ISO 898-1)."""

from __future__ import annotations

import pytest

from assistant.adapters.library import Library
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError
from assistant.core.job.vehicle_values import check_vehicle
from assistant.core.quantities.units import amount
from tests.fitting import vehicles_for

LIBRARY = Library()
JOB, TABLES = LIBRARY.job("oil-and-filter"), LIBRARY.tables()


def with_torque(text: str, thread: str = "M14x1.5") -> Vehicle:
    vehicle = LIBRARY.vehicle("tarnwick-plover-16")
    spec = vehicle.values["drain-plug-torque"].model_copy(update={"value": amount(text), "thread": thread})
    return vehicle.model_copy(update={"values": {**vehicle.values, "drain-plug-torque": spec}})


def test_the_vehicles_that_travel_with_the_program_pass() -> None:
    for vehicle in vehicles_for(JOB):
        assert vehicle.values["drain-plug-torque"].thread
        check_vehicle(JOB, vehicle, TABLES)


@pytest.mark.parametrize(
    ("text", "thread", "hint"),
    [
        ("60 N·m", "M8", "lbf·in"),  # a class 8.8 M8 bears some 25 N·m: MTU MTN 5008 has 21
        ("8 N·m", "M14x1.5", "kgf·m"),  # the printed most of VDI 2230 is 142 N·m
    ],
)
def test_a_torque_that_does_not_fit_its_thread_names_the_unit_that_would(text: str, thread: str, hint: str) -> None:
    with pytest.raises(DataError, match=hint) as raised:
        check_vehicle(JOB, with_torque(text, thread), TABLES)
    assert "tarnwick-plover-16: values.drain-plug-torque" in str(raised.value)


def test_a_thread_that_is_none_is_told_with_its_place() -> None:
    with pytest.raises(DataError, match=r"values\.drain-plug-torque.*no thread from M3"):
        check_vehicle(JOB, with_torque("30 N·m", "fourteen"), TABLES)
