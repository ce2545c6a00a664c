"""What an owner has told of a car so far, and what is asked next: it follows from the answers, so both always agree.

Pure data and questions about it; nothing here hears or says anything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from assistant.core.car_talk.wanted import NOTHING_KNOWN, Use, groups_of, uses, values_of
from assistant.core.compute.base.calculation import Row
from assistant.core.data.base import RESERVED
from assistant.core.data.building import OneOf
from assistant.core.data.procedure import Procedure, Wanted
from assistant.core.data.vehicle import Spec, System, Vehicle
from assistant.core.quantities.units import amount

LONGEST_NAME = 60
"""So long may the name of a car be [letter]; its id is shorter still."""
_LONGEST_ID = 40


class Topic(StrEnum):
    """What an answer is about, in the order in which it is asked."""

    RESUME = "resume"
    JOBS = "jobs"
    NAME = "name"
    TAKEN = "taken"
    UNITS = "units"
    BUILT = "built"
    VALUE = "value"
    SOURCE = "source"
    THREAD = "thread"
    """The thread of the bolt that a torque is for: told beside its source, never asked for."""
    ENOUGH = "enough"
    """The values that were not yet asked for are left out."""
    WHOLE = "whole"
    DONE = "done"


REPLACE, BOTH = "replace", "both"
"""What becomes of a file that is there already."""


@dataclass(frozen=True, slots=True)
class Given:
    """One answer that counts."""

    topic: Topic
    about: str = ""
    """Of which value or group it is."""
    what: str = ""
    """The answer as files write it; empty where the owner does not know it, or of a way of building without a tag."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked now."""

    topic: Topic
    about: str = ""


@dataclass(frozen=True, slots=True)
class Ground:
    """What a talk goes by: the jobs at hand, the cars that are there, tables, the day."""

    jobs: tuple[Procedure, ...]
    taken: frozenset[str]
    """Ids that vehicles have, or of which values were told."""
    tables: Mapping[str, Sequence[Row]]
    day: str
    """The day, as sources name it."""
    needs: Mapping[str, tuple[Use, ...]]
    """What the steps of each job rest on, by the job's id."""

    @classmethod
    def of(
        cls, jobs: Sequence[Procedure], taken: frozenset[str], tables: Mapping[str, Sequence[Row]], day: str
    ) -> Ground:
        """Return what a talk about these jobs goes by."""
        return cls(tuple(jobs), taken, tables, day, {job.id: uses(job) for job in jobs})


@dataclass(frozen=True, slots=True)
class Talk:
    """All that was told, in the order in which it was. Every question follows from it."""

    ground: Ground
    given: tuple[Given, ...] = ()
    kept: tuple[Given, ...] = ()
    """The answers of a talk that was broken off, until it is taken up or begun anew."""
    done: bool = False
    """Whether the whole was confirmed."""

    # --- what was told ---

    def of(self, topic: Topic, about: str = "") -> Given | None:
        """Return the answer about something; None where there is none yet."""
        return next((one for one in self.given if (one.topic, one.about) == (topic, about)), None)

    def what(self, topic: Topic, about: str = "") -> str:
        """Return what was answered; empty where there is no answer."""
        found = self.of(topic, about)
        return found.what if found else ""

    def with_given(self, *new: Given) -> Talk:
        """Return the talk with answers; an older one about the same thing gives way."""
        again = {(one.topic, one.about) for one in new}
        older = tuple(one for one in self.given if (one.topic, one.about) not in again)
        return replace(self, given=(*older, *new), done=False)

    def without(self, *dropped: Given) -> Talk:
        """Return the talk without some answers."""
        return replace(self, given=tuple(one for one in self.given if one not in dropped), done=False)

    @property
    def jobs(self) -> tuple[Procedure, ...]:
        """The jobs that the car is to be ready for."""
        chosen = self.what(Topic.JOBS).split()
        return tuple(job for job in self.ground.jobs if job.id in chosen) if chosen else self.ground.jobs

    @property
    def groups(self) -> dict[str, OneOf]:
        """The ways of building it that the jobs differ by."""
        return groups_of(self.jobs)

    @property
    def tags(self) -> frozenset[str]:
        """The tags that follow from how it is built."""
        return frozenset(filter(None, (self.what(Topic.BUILT, about) for about in self.groups)))

    @property
    def wanted(self) -> dict[str, tuple[Wanted, ...]]:
        """The values that the jobs may need, however it is built, each with what every job says of it."""
        found: dict[str, tuple[Wanted, ...]] = {}
        for job in self.jobs:
            for name, wanted in job.values.items():
                found[name] = (*found.get(name, ()), wanted)
        return found

    @property
    def values(self) -> tuple[str, ...]:
        """The names of the values that the jobs need from a car that is built so."""
        needs, tags = self.ground.needs, self.tags
        return tuple(dict.fromkeys(name for job in self.jobs for name in values_of(job, needs[job.id], tags)))

    @property
    def called(self) -> str:
        """What the car is called to a person."""
        return self.what(Topic.NAME) or NOTHING_KNOWN.title

    @property
    def id(self) -> str:
        """The id of the car, which no other has, unless it is to take the place of that one."""
        own = id_of(self.called)
        if own not in self.ground.taken or self.what(Topic.TAKEN, own) == REPLACE:
            return own
        return next(one for one in (f"{own}-{number}" for number in _numbers()) if one not in self.ground.taken)


def _numbers() -> Iterator[int]:
    number = 2
    while True:
        yield number
        number += 1


def id_of(title: str) -> str:
    """Return the id that follows from what a car is called: small letters, figures and dashes, a letter first."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-").removeprefix("the-")[:_LONGEST_ID].strip("-")
    if not words:
        return "car"
    return words if words[0].isalpha() and words not in RESERVED else f"car-{words}"


def asked(talk: Talk) -> Asked:
    """Return what is asked now."""
    if talk.kept:
        return Asked(Topic.RESUME)
    if talk.done:
        return Asked(Topic.DONE)
    return next(_open(talk), Asked(Topic.WHOLE))


def _open(talk: Talk) -> Iterator[Asked]:
    """Yield what is not answered yet, in order."""
    if len(talk.ground.jobs) > 1 and not talk.of(Topic.JOBS):
        yield Asked(Topic.JOBS)
    if not talk.of(Topic.NAME):
        yield Asked(Topic.NAME)
    own = id_of(talk.called)
    if own in talk.ground.taken and not talk.of(Topic.TAKEN, own):
        yield Asked(Topic.TAKEN, own)
    if not talk.of(Topic.UNITS):
        yield Asked(Topic.UNITS)
    yield from (Asked(Topic.BUILT, about) for about in talk.groups if not talk.of(Topic.BUILT, about))
    for name in talk.values:
        value = talk.of(Topic.VALUE, name)
        if value and value.what and not talk.of(Topic.SOURCE, name):
            yield Asked(Topic.SOURCE, name)
        if not value and not talk.of(Topic.ENOUGH):
            yield Asked(Topic.VALUE, name)


def specs_of(talk: Talk, names: Sequence[str] | None = None) -> dict[str, Spec]:
    """Return the values that were told, each with its source; those of some names only, where these are given."""
    known = {one.about: one.what for one in talk.given if one.topic is Topic.VALUE and one.what}
    return {
        name: Spec(
            value=amount(text),
            source=talk.what(Topic.SOURCE, name) or "not told yet",
            thread=talk.what(Topic.THREAD, name),
        )
        for name, text in known.items()
        if names is None or name in names
    }


def car(talk: Talk) -> Vehicle:
    """Return the car as it was told so far: how it is built, and the values that its jobs need."""
    needed = specs_of(talk, talk.values)
    return Vehicle(
        id=talk.id,
        title=talk.called,
        about=f"A car of the owner, told by question and answer on {talk.ground.day}.",
        units=System(talk.what(Topic.UNITS) or System.METRIC),
        tags=tuple(sorted(talk.tags)),
        values={name: needed[name] for name in talk.values if name in needed},
    )
