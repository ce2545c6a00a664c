"""Facts of values: what the vehicle's file says or the owner told, what was read off or measured."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.data.base import QuantityText
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.quantities.units import Level

Measured = QuantityText | Level


@dataclass(frozen=True, slots=True)
class ToolMeasured:
    """The person told how long the wrench or its adapter is."""

    tool: str
    """`wrench` or `adapter`."""
    length: QuantityText


@dataclass(frozen=True, slots=True)
class ValueTold:
    """The owner told a value that the vehicle's file lacks."""

    vehicle: str
    name: str
    spec: Spec


@dataclass(frozen=True, slots=True)
class ValueWithdrawn:
    """The owner said that a value that they had told is wrong: it is asked for anew."""

    vehicle: str
    name: str


@dataclass(frozen=True, slots=True)
class ValueUnknown:
    """The owner does not know a value: the job goes on without it, as it says."""

    name: str


@dataclass(frozen=True, slots=True)
class VehicleOffered:
    """The vehicle's file says other values than the job has: the owner is asked which ones to go by."""

    vehicle: Vehicle
    """The vehicle as its file is now."""


@dataclass(frozen=True, slots=True)
class VehicleTaken:
    """From now on the job goes by other values of the vehicle; what was done by the old ones stays as it was done."""

    vehicle: Vehicle
    taken_back: bool = False
    """Whether the owner took it back that they wanted new ones."""


@dataclass(frozen=True, slots=True)
class VehicleDeclined:
    """The job stays with the values that it has."""


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """A value was read off or measured."""

    step: str
    name: str
    value: Measured
    adds: bool = False
    removes: bool = False
    of: str = ""
    """The fluid of which it tells how much there is."""


@dataclass(frozen=True, slots=True)
class ReadingWithdrawn:
    """A reading was put right: it no longer counts."""

    step: str
    name: str


ValueEvent = (
    ToolMeasured | ValueTold | ValueWithdrawn | ValueUnknown | VehicleOffered | VehicleTaken | VehicleDeclined |
    ReadingTaken | ReadingWithdrawn
)  # fmt: skip
