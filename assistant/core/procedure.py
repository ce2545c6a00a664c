"""What is read from files: procedures, vehicles, and their parts, as frozen data. Never anything that acts.

The format is described in `procedures/README.md`. Every value that a vehicle carries has a source.
"""

from __future__ import annotations

from enum import StrEnum
from string import Formatter
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer, model_validator

from assistant.core.errors import ReadingError
from assistant.core.units import Amount, Kind, amount, write_amount

SlotKind = Kind | Literal["level"]


def _read_amount(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return amount(value)
    except ReadingError as error:
        raise ValueError(str(error)) from error


QuantityText = Annotated[Amount, BeforeValidator(_read_amount), PlainSerializer(write_amount, return_type=str)]
"""An amount that a file writes as text with its unit, for instance `25 N·m`."""

Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*([-_:][a-z0-9]+)*$")]
Says = Annotated[tuple[str, ...], Field(min_length=1)]
"""Phrasings of one meaning, each a JSGF expansion."""


class Data(BaseModel):
    """Base of all that is read from files: unknown fields are refused, nothing changes afterwards."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Where(StrEnum):
    """Where the person's body is."""

    BENCH = "bench"
    BESIDE = "beside"
    UNDER = "under"
    BAY = "bay"
    SEAT = "seat"


class System(StrEnum):
    """The units that the owner asks for."""

    METRIC = "metric"
    IMPERIAL = "imperial"
    US = "us"


class Spec(Data):
    """A value of a vehicle and where it comes from."""

    value: QuantityText
    source: str = Field(min_length=3)
    thread: str = ""
    """Of a torque: the thread it is for, for instance M14x1.5; then it is checked against what such a bolt bears."""
    strength: str = "8.8"
    """Of a torque: the property class of the bolt (ISO 898-1)."""


class Note(Data):
    """A fact of a vehicle in words, and where it comes from."""

    say: str
    source: str = Field(min_length=3)


class Vehicle(Data):
    """One vehicle: what it is, and its values. A value that is missing is asked for, never guessed."""

    id: Name
    title: str
    about: str
    units: System
    tags: tuple[Name, ...] = ()
    values: dict[Name, Spec] = {}
    notes: dict[Name, Note] = {}


class Tagged(Data):
    """Something that holds only in some circumstances: all of `when`, none of `unless`."""

    when: tuple[Name, ...] = ()
    unless: tuple[Name, ...] = ()

    def applies(self, tags: frozenset[str]) -> bool:
        """Return whether the circumstances fit."""
        return tags.issuperset(self.when) and tags.isdisjoint(self.unless)


class Part(Data):
    """Something that the job loosens, removes or opens and must put back."""

    id: Name
    name: str
    leak: bool = False
    """True where the engine would leak or run dry while it is open."""
    torque: Name | None = None
    """The vehicle's value to which it is tightened."""


class Option(Data):
    """One answer of a list."""

    id: Name
    says: Says
    show: str
    refuse: str | None = None
    """For evidence that shows the opposite of what is wanted: what to say and do."""


class Ask(Tagged):
    """One challenge of a gate. Its answer is evidence: it can't be given without looking or touching."""

    id: Name
    proves: tuple[Name, ...]
    ask: str
    options: tuple[Option, ...] = ()
    kind: Kind | None = None
    least: int | Name | None = None
    """For a number: the least that is accepted, or the name of a computed value."""
    too_little: str = ""

    @model_validator(mode="after")
    def _one_way_to_answer(self) -> Self:
        if bool(self.options) == (self.kind is not None):
            raise ValueError("an ask has either `options` or a `kind`")
        if self.kind is not None and self.least is None:
            raise ValueError("an ask for a number needs `least`")
        return self


class Gate(Data):
    """A permission that is asked for by challenge and response, and that falls with its cause."""

    id: Name
    name: str
    intro: str
    granted: str
    asks: Annotated[tuple[Ask, ...], Field(min_length=1)]
    falls_on: tuple[Literal["raised", "lowered", "engine-stopped", "opened", "interrupted"], ...]
    sealed: bool = False
    """True where it also needs a ledger without a leak path, and the fluid at its safe minimum."""


class Reading(Data):
    """A value that the person reads off or measures."""

    name: Name
    kind: SlotKind
    ask: str
    adds: bool = False
    """True where it is an amount poured in."""
    says: tuple[str, ...] = ()
    """Ways to say it around the rule `<value>`, for instance `<value> poured`."""


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


class Effect(StrEnum):
    """What a finished step does to the car, beyond its parts."""

    RAISED = "raised"
    LOWERED = "lowered"
    DRAINED = "drained"
    ENGINE_STARTED = "engine-started"
    ENGINE_STOPPED = "engine-stopped"


class Step(Tagged):
    """One action. At most one of its questions is set; without any, "next" ends it."""

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
    does: tuple[Effect, ...] = ()
    replaces: tuple[str, ...] = ()
    """What is new after the step, for the record."""
    optional: bool = False
    then: Name | None = None
    """The step that follows, where that is not the next in the list."""
    done: tuple[str, ...] = ()
    """Phrases that end the step, beside the general ones."""
    reading: Reading | None = None
    choice: Choice | None = None
    claim: Claim | None = None
    tighten: Tighten | None = None
    wait: Wait | None = None

    @model_validator(mode="after")
    def _one_question(self) -> Self:
        asked = [name for name in ("reading", "choice", "claim", "tighten", "wait") if getattr(self, name)]
        if len(asked) > 1:
            raise ValueError(f"a step asks one thing, this one asks {' and '.join(asked)}")
        return self

    def texts(self) -> tuple[str, ...]:
        """Return every text of the step that is spoken and may name a value."""
        asks = [question.ask for question in (self.reading, self.choice, self.claim, self.tighten) if question]
        return (self.say, self.why, *self.cautions, *asks)


class Wanted(Data):
    """A value that the job needs from the vehicle: what it is called, where to find it, and what can be right."""

    kind: Kind
    name: str
    find: str
    """Where the owner finds it, for instance in the service manual."""
    least: QuantityText
    most: QuantityText


class Fluid(Data):
    """The fluid that the job changes, and the names of the values that say how much of it there is."""

    name: str
    capacity: Name
    span: Name


class Procedure(Data):
    """A whole job."""

    id: Name
    title: str
    about: str
    values: dict[Name, Wanted] = {}
    fluid: Fluid | None = None
    parts: tuple[Part, ...] = ()
    gates: tuple[Gate, ...] = ()
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _names_are_known(self) -> Self:
        parts, gates, steps = ({item.id for item in items} for items in (self.parts, self.gates, self.steps))
        if len(steps) < len(self.steps):
            raise ValueError("two steps have the same id")
        for step in self.steps:
            wanted = {*step.opens, *step.closes, *([step.tighten.part] if step.tighten else [])}
            _known(step, "part", wanted, parts)
            _known(step, "gate", set(step.needs), gates)
            _known(step, "step", {step.then} if step.then else set(), steps)
        return self

    def step(self, name: str) -> Step:
        """Return the step of that id; KeyError where there is none."""
        return next((step for step in self.steps if step.id == name), None) or _missing(name)

    def part(self, name: str) -> Part:
        """Return the part of that id."""
        return next((part for part in self.parts if part.id == name), None) or _missing(name)

    def gate(self, name: str) -> Gate:
        """Return the gate of that id."""
        return next((gate for gate in self.gates if gate.id == name), None) or _missing(name)


def _missing(name: str) -> Any:
    raise KeyError(name)


def _known(step: Step, what: str, wanted: set[str], known: set[str]) -> None:
    if unknown := sorted(wanted - known):
        raise ValueError(f"step {step.id!r} names the {what} {unknown[0]!r}; there are {', '.join(sorted(known))}")


def names_in(text: str) -> tuple[str, ...]:
    """Return the names in braces of a text, in order: the values that it speaks of."""
    return tuple(field for _, field, _, _ in Formatter().parse(text) if field)
