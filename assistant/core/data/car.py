"""What is known of the whole car while a job is done, as data: conditions, acts, and where a person may be when.

A condition is what holds of the car or does not, by its name: the engine runs, the car stands on stands. Steps set and
end them. Which have to hold, and which must not, while a person is in some place, is data too: nothing here decides.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Self

from pydantic import model_validator

from assistant.core.data.base import Data, Name, Says, Tagged

CALLED = "the car"
"""How a vehicle is spoken of whose file does not say it."""


class Where(StrEnum):
    """Where the person's body is."""

    BENCH = "bench"
    BESIDE = "beside"
    UNDER = "under"
    ARCH = "arch"
    """With the arms in a wheel arch of a car that is raised: as dangerous as under it."""
    BAY = "bay"
    SEAT = "seat"
    DRIVE = "drive"
    """At the wheel of a car that moves: nothing is asked there."""


EXPOSED = frozenset({Where.UNDER, Where.ARCH})
"""Where a car that comes down hurts who is there."""


class Act(StrEnum):
    """What happens to the whole car while a step lasts. It begins when the person is told to do it, not when it is
    done: a car that is being lowered is as dangerous as one that is down."""

    RAISING = "raising"
    LOWERING = "lowering"
    STARTING = "starting"
    RUNNING = "running"
    DRIVING = "driving"


class Way(Tagged):
    """How a person brings a condition about, or ends it, and the words by which they say that it is so."""

    do: str
    says: Says


class Condition(Data):
    """What holds of the car, or does not.

    A hazard counts from when it may begin to when it surely ended, everything else from when it surely began to when
    it may end.
    """

    id: Name
    name: str
    """As in "The car is on stands"."""
    hazard: bool = False
    begin: tuple[Way, ...] = ()
    end: tuple[Way, ...] = ()
    excludes: tuple[Name, ...] = ()
    """What can't hold beside it: a car that stands on stands does not stand on ramps."""
    gated: bool = False
    """True where only a step with its gate brings it about: the person is led back to the one that did."""

    def ways(self, holds: bool, tags: frozenset[str]) -> tuple[Way, ...]:
        """Return the ways that apply to bring it about, or to end it."""
        return tuple(way for way in (self.begin if holds else self.end) if way.applies(tags))


class Exposure(Tagged):
    """What has to hold, and what must not, while a person is in some place, or works at an open part."""

    where: tuple[Where, ...] = ()
    parts: bool = False
    """True where it is for every step that opens, closes or tightens a part, wherever that is."""
    holds: tuple[Name, ...] = ()
    never: tuple[Name, ...] = ()

    @model_validator(mode="after")
    def _says_for_what(self) -> Self:
        if bool(self.where) == self.parts or not (self.holds or self.never):
            raise ValueError("an exposure has either `where` or `parts: true`, and says what holds, or never does")
        return self
