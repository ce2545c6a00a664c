"""Facts of permissions: what was shown for them, that they were given, that they ended."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EvidenceGiven:
    """A challenge of a gate was answered with evidence that is good enough."""

    gate: str
    ask: str
    answer: str
    """What was answered, for the eye."""


@dataclass(frozen=True, slots=True)
class EvidenceWithdrawn:
    """The person took an answer to a gate's challenge back."""

    gate: str
    ask: str


@dataclass(frozen=True, slots=True)
class GatePassed:
    """All challenges of a gate were answered, read back, and confirmed by its name."""

    gate: str


@dataclass(frozen=True, slots=True)
class GateFell:
    """A permission ended with its cause."""

    gate: str
    cause: str


GateEvent = EvidenceGiven | EvidenceWithdrawn | GatePassed | GateFell
