"""What a computation gives: a value or a finding, and all that is needed to answer "how do you know?"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.core.quantities.units import Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """What an answer rests on."""

    because: str
    """One or two short sentences for the ear."""
    inputs: tuple[tuple[str, Amount | str], ...] = ()
    assumptions: tuple[str, ...] = ()
    """Named assumptions, each with its standing, for instance `common practice, no source`."""
    cautions: tuple[str, ...] = ()
    """What could hurt someone or something, for the ear."""
    also: str = ""
    """What follows from the value, in whole sentences: a verdict, a bound. It is spoken after the value, with the
    further values whose names stand in braces: "At most {most}."; `{most±off}` says how sure it is."""
    more: tuple[tuple[str, Amount | str], ...] = ()
    """Further values by name: the other half of a pair, a bound, a part of a sum."""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result(Grounds):
    """A computed amount."""

    value: Amount
    uncertainty: Amount | None = None
    """How far the true value may lie to either side, in the unit of the value, where it is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding(Grounds):
    """A computed answer in words: a grade, an order of bolts, whether something may be used."""

    value: str
    say: str = ""
    """The value as a sentence for the ear, where it is not one itself."""


Answer = Result | Finding
"""What any computation gives."""


def verdict(faults: Sequence[str], right: str, *, wrong: str = "No") -> str:
    """Return what to say of something that was compared with its limits: its faults, or that it is right."""
    return f"{wrong}: {', and '.join(faults)}." if faults else right
