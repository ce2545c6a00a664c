"""Which way a vehicle is built, as data: groups of tags of which it has one, and the words for them.

A job's file names the groups by which its steps differ; `assistant vehicle new` asks for each of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Self

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name


class Build(Data):
    """One way of building it."""

    tag: Name | None = None
    """What the vehicle's file is given; none where this way is that something is not there."""
    show: str = ""
    """As it is read back: "a spin-on filter"."""
    says: tuple[str, ...] = ()
    """Phrases by which the owner chooses it, each a JSGF expansion."""

    @property
    def called(self) -> str:
        """The way as it is read back; from its tag where the job's file has no words for it."""
        return self.show or (self.tag or "none").replace(":", " ").replace("-", " ")

    @property
    def phrases(self) -> tuple[str, ...]:
        """What the owner may say; the words of the tag where the job's file has none."""
        return self.says or (self.called,)


class Fit(Data):
    """What a vehicle must have for a job, and must not have; a vehicle that differs is refused in these words."""

    has: tuple[Name, ...] = ()
    """Tags that it has, all of them."""
    never: tuple[Name, ...] = ()
    """Tags that it has none of."""
    why: str = Field(min_length=3)
    """Why it is not for another one, in a sentence."""

    @model_validator(mode="after")
    def _says_which(self) -> Self:
        if not (self.has or self.never):
            raise ValueError("a fit names tags: those that a vehicle `has`, or those that it `never` has")
        return self

    def of(self, tags: frozenset[str]) -> bool:
        """Return whether a vehicle with these tags is one that it is for."""
        return tags.issuperset(self.has) and tags.isdisjoint(self.never)


class OneOf(Data):
    """A group of ways of which each vehicle has exactly one."""

    ask: str = ""
    options: Annotated[tuple[Build, ...], Field(min_length=1)]

    @classmethod
    def of_tags(cls, tags: Sequence[Name]) -> Self:
        """Return a group whose job's file has no words for it."""
        return cls(options=tuple(Build(tag=tag) for tag in dict.fromkeys(tags)))

    @model_validator(mode="after")
    def _can_be_told_apart(self) -> Self:
        if len({option.tag for option in self.options}) < len(self.options):
            raise ValueError("two ways of building it have the same tag, or none")
        return self

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of the group."""
        return tuple(option.tag for option in self.options if option.tag)

    @property
    def question(self) -> str:
        """What the owner is asked."""
        return self.ask or f"Which of these is it: {', or '.join(option.called for option in self.options)}?"

    def of(self, tags: frozenset[str]) -> Build | None:
        """Return the way in which a vehicle with these tags is built; None where they name several, or none that is."""
        found = [option for option in self.options if option.tag in tags]
        if found:
            return found[0] if len(found) == 1 else None
        return next((option for option in self.options if option.tag is None), None)
