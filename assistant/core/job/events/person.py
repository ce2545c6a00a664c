"""Facts of the person's safety: whether they answer, call for help, or are out from under the car."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CheckedIn:
    """Nothing was heard from under the car for a while, so the person was asked: 1 asked, 2 louder, from 3 on alarm."""

    level: int


@dataclass(frozen=True, slots=True)
class HelpCalled:
    """The person called for help: the alarm goes on until they say that all is well."""


@dataclass(frozen=True, slots=True)
class HelpTried:
    """The owner's own command for an alarm was run."""

    trial: bool
    fault: str
    """Why it failed; empty where it did not."""


@dataclass(frozen=True, slots=True)
class DangerSaid:
    """The person said that the car is not safe: it moved, or is about to."""


@dataclass(frozen=True, slots=True)
class CameOut:
    """The person said that they are out from under the car."""


PersonEvent = CheckedIn | HelpCalled | HelpTried | DangerSaid | CameOut
