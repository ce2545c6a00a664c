"""Facts of the car: what is open, how tight it was made, what is new, what holds of it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.data.base import QuantityText


@dataclass(frozen=True, slots=True)
class TorqueGiven:
    """A fastener was tightened, and confirmed by name."""

    part: str
    value: QuantityText


@dataclass(frozen=True, slots=True)
class TorqueWithdrawn:
    """A torque was put right before the fastener was turned further: it no longer counts."""

    part: str


@dataclass(frozen=True, slots=True)
class AngleGiven:
    """A fastener was turned further after its torque, and confirmed by name."""

    part: str
    value: QuantityText


@dataclass(frozen=True, slots=True)
class NewShown:
    """The person said that what may be used once only is new, before a part is closed with it."""

    part: str


@dataclass(frozen=True, slots=True)
class NewWithdrawn:
    """The person took back that it is new."""

    part: str


@dataclass(frozen=True, slots=True)
class PartOpened:
    """Something was loosened, removed or opened, or counts as open again."""

    part: str


@dataclass(frozen=True, slots=True)
class PartClosed:
    """Something was put back."""

    part: str


@dataclass(frozen=True, slots=True)
class ConditionChanged:
    """Something came to hold of the car, or no longer holds, or is no longer sure."""

    condition: str
    holds: bool | None
    """None where it may hold or not."""
    said: bool = False
    """Whether the person said so by itself, and may take it back."""


@dataclass(frozen=True, slots=True)
class Drained:
    """A fluid ran out: what was poured in before no longer counts."""

    fluid: str


CarEvent = (
    TorqueGiven | TorqueWithdrawn | AngleGiven | NewShown | NewWithdrawn | PartOpened | PartClosed | ConditionChanged |
    Drained
)  # fmt: skip
