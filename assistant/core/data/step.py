"""A step of a job: one action, with what it needs, what it changes, and the one thing that it asks."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name, Says, Tagged
from assistant.core.data.car import Act, Where
from assistant.core.data.control import Repeat
from assistant.core.data.gate import Option
from assistant.core.data.measured import Band, Bound, Finding, check_bands
from assistant.core.quantities.units import Kind

SlotKind = Kind | Literal["level"]


class Reading(Data):
    """A value that the person reads off or measures."""

    name: Name
    kind: SlotKind
    ask: str
    adds: bool = False
    """True where it is an amount poured in."""
    removes: bool = False
    """True where it is an amount that came out."""
    fills: Literal["capacity", "mark", "loss"] | None = None
    """Of what is poured in: the step lasts until enough is in and not too much. Enough and too much are counted by the
    capacity since the fluid was drained, by the mark since it was last read, or by what came out since then."""
    of: Name | None = None
    """The fluid of which it tells how much there is."""
    least: Bound | None = None
    """What is below it, or above `most`, can't be right: it is asked again."""
    most: Bound | None = None
    bands: tuple[Band, ...] = ()
    """Which it falls into becomes the tag `name:band`."""
    says: tuple[str, ...] = ()
    """Ways to say it around the rule `<value>`, for instance `<value> poured`."""

    @model_validator(mode="after")
    def _can_be_judged(self) -> Self:
        check_bands(f"the reading {self.name}", self.bands)
        if self.kind == "level" and (self.bands or self.least is not None or self.most is not None):
            raise ValueError("a level has no bounds: how it stands is told by its fluid")
        if self.fills and not self.adds:
            raise ValueError("what `fills` also `adds`")
        return self


class Choice(Data):
    """A decision between ways to do the job; becomes the tag `name:option`."""

    name: Name
    ask: str
    options: Annotated[tuple[Option, ...], Field(min_length=2)]


class Claim(Data):
    """A consequential statement: read back, and confirmed by name."""

    name: str
    ask: str
    says: Says
    show: str = ""
    """As it is read back, a sentence; without it, that what has the name is tight."""


class Tighten(Data):
    """A fastener brought to its torque: the person says the number, and confirms by name."""

    part: Name
    ask: str = "What torque did you give it?"


class Wait(Data):
    """A time that has to pass."""

    minutes: Annotated[float, Field(gt=0, le=24 * 60)]
    about: str
    hard: bool = False
    """True where going on early would spoil the result: the person is told how long is left."""


class Step(Tagged):
    """One action. At most one of its questions is set; without any, "next" ends it.

    What is looked for while a time runs is a choice beside the wait.
    """

    id: Name
    title: str
    where: Where
    say: str
    why: str
    cautions: tuple[str, ...] = ()
    needs: tuple[Name, ...] = ()
    """Gates that must stand."""
    opens: tuple[Name, ...] = ()
    closes: tuple[Name, ...] = ()
    acts: tuple[Act, ...] = ()
    """What happens to the whole car while it lasts."""
    sets: tuple[Name, ...] = ()
    """Conditions that hold once it is done."""
    ends: tuple[Name, ...] = ()
    """Conditions that no longer hold once it is done."""
    holds: tuple[Name, ...] = ()
    """Conditions without which it can't be done, beside those of where it is done."""
    never: tuple[Name, ...] = ()
    """Conditions with which it must not be done."""
    allows: tuple[Name, ...] = ()
    """Parts that may be open here though they block one of its acts: a declared exception."""
    drains: Name | None = None
    """The fluid that runs out: what was poured in before no longer counts."""
    denied: str = ""
    """What to say and do where the person denies that it is done; without it, the step is said again."""
    replaces: tuple[str, ...] = ()
    """What is new after the step, for the record."""
    optional: bool = False
    then: Name | None = None
    """The step that follows, where that is not the next in the list."""
    repeat: Repeat | None = None
    """What it goes back to after the step, and until when."""
    done: tuple[str, ...] = ()
    """Phrases that end the step, beside the general ones."""
    reading: Reading | None = None
    choice: Choice | None = None
    claim: Claim | None = None
    tighten: Tighten | None = None
    wait: Wait | None = None
    finding: Finding | None = None
    """What the answer is a finding of, where it has a grade."""

    @model_validator(mode="after")
    def _one_question(self) -> Self:
        asked = [name for name in ("reading", "choice", "claim", "tighten", "wait") if getattr(self, name)]
        if len(asked) > 1 and asked != ["choice", "wait"]:
            raise ValueError(f"a step asks one thing, this one asks {' and '.join(asked)}")
        if self.where is Where.DRIVE and (asked not in ([], ["wait"]) or self.opens or self.closes):
            raise ValueError(
                "nothing is asked, opened or closed while the car moves: a step after it does, in the seat"
            )
        if self.where is Where.DRIVE and Act.DRIVING not in self.acts:
            raise ValueError("a step in `drive` has `driving` among its `acts`")
        return self

    def texts(self) -> tuple[str, ...]:
        """Return every text of the step that is spoken and may name a value."""
        asks = [question.ask for question in (self.reading, self.choice, self.claim, self.tighten) if question]
        return (self.say, self.why, *self.cautions, *asks)
