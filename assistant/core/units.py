"""The one pint registry, the kinds that units alone do not tell apart, and exact amounts.

Torque is not energy, though both are newton times metre; so an amount carries its kind, and only
amounts of one kind are compared or converted. Magnitudes are decimals: what was said is kept exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Kind(StrEnum):
    """What an amount is an amount of."""

    TORQUE = "torque"
    VOLUME = "volume"
    MASS = "mass"
    DISTANCE = "distance"
    LENGTH = "length"
    DURATION = "duration"
    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Amount:
    """An exact magnitude with a unit and a kind."""

    magnitude: Decimal
    unit: str
    """A canonical unit name of `UNITS`, for instance `newton_metre`."""
    kind: Kind


@dataclass(frozen=True, slots=True)
class Level:
    """A dipstick reading as an interval of the span between the marks: 0 is low, 1 is full."""

    lowest: Decimal
    highest: Decimal
    said: str


Value = Amount | Level
