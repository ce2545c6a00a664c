"""How a job leaves its straight way, as data: ends that are safe before all is done, and steps that are repeated."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from assistant.core.data.base import Data, Name


class SafeEnd(Data):
    """A state in which the car may be left though the job is not done, for a reason that was found."""

    id: Name
    name: str
    """As it is confirmed: "leaving it on the stands"."""
    say: str
    """What to do with the car, after the reason."""
    holds: tuple[Name, ...] = ()
    """Conditions that have to hold before it is left."""
    never: tuple[Name, ...] = ()
    """Conditions with which it must not be left."""


class Repeat(Data):
    """Back to an earlier step after this one, until something is so."""

    to: Name
    """The step with which a round begins."""
    until: Annotated[tuple[Name, ...], Field(min_length=1)]
    """Tags that all have to be there, or it goes back."""
    most: Annotated[int, Field(ge=1, le=100)]
    """How many rounds there are at most, the first one counted."""
    out: Name
    """The step that follows after the last round, where it is still not so."""
