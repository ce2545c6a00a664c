"""What a computation gives: a value, and all that is needed to answer "how do you know?"."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.units import Amount


@dataclass(frozen=True, slots=True)
class Result:
    """A computed amount with what it rests on."""

    value: Amount
    because: str
    """One or two short sentences for the ear."""
    inputs: tuple[tuple[str, Amount], ...] = ()
    assumptions: tuple[str, ...] = ()
    """Named assumptions, each with its standing, for instance `common practice, no source`."""
    source: str = ""
