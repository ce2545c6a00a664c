"""What is read from files: procedures, vehicles, and their parts, as frozen data. Never anything that acts.

The format is described in `procedures/README.md`. Every value that a vehicle carries has a source.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name, QuantityText, Says, Tagged
from assistant.core.data.building import Fit, OneOf
from assistant.core.data.car import CALLED, Act, Condition, Exposure, Where
from assistant.core.data.control import Repeat, SafeEnd
from assistant.core.data.gate import Gate, Option
from assistant.core.data.measured import Band, Bound, Computed, Finding, Fluid, Grade, check_bands, of_one_fluid
from assistant.core.quantities.units import Kind

SlotKind = Kind | Literal["level"]


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

    @model_validator(mode="before")
    @classmethod
    def _not_cut_at_a_comma(cls, content: Any) -> Any:
        """Refuse `{value: 3,5 L}` in words: between braces YAML reads it as 3, and as a field `5 L` without a value."""
        cut = [name for name, value in content.items() if value is None] if isinstance(content, dict) else []
        if cut and isinstance(content.get("value"), int) and str(cut[0])[:1].isdigit():
            whole, rest = content["value"], cut[0]
            raise ValueError(
                f"value {whole},{rest}: a comma ends it between braces: write {whole}.{rest}, with a point"
            )
        return content


class Note(Data):
    """A fact of a vehicle in words, and where it comes from."""

    say: str
    source: str = Field(min_length=3)


class Vehicle(Data):
    """One vehicle: what it is, and its values. A value that is missing is asked for, never guessed; a note that is
    missing is done without, in words."""

    id: Name
    title: str
    about: str
    called: str = CALLED
    """How it is spoken of: "the van", "the mower"."""
    units: System
    tags: tuple[Name, ...] = ()
    values: dict[Name, Spec] = Field(default_factory=dict)
    notes: dict[Name, Note] = Field(default_factory=dict)


class Part(Data):
    """Something that the job loosens, removes or opens and must put back."""

    id: Name
    name: str
    blocks: tuple[Act, ...] = ()
    """What must not be done with the car while it is open: no engine is started that would leak or run dry."""
    torque: Name | None = None
    """The vehicle's value to which it is tightened."""
    count: int | Name | None = None
    """How many fasteners it has: a number, or the name of a value."""
    order: Literal["star", "inside-out"] | None = None
    """In which order they are tightened: around a ring, or a cover from its middle outwards."""
    rows: Annotated[int, Field(ge=1, le=12)] = 2
    """Of a cover: in how many rows its fasteners lie."""
    angle: Name | None = None
    """The vehicle's value by which it is turned further after the torque."""
    once: str = ""
    """What may be used once only and must be new when it is closed: "the washer"."""

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the values by which it is fastened, the torque last."""
        count = self.count if isinstance(self.count, str) else None
        return tuple(name for name in (count, self.angle, self.torque) if name)


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


class Wanted(Data):
    """A value that the job needs from the vehicle: what it is called, where to find it, and what can be right."""

    kind: Kind
    name: str
    find: str
    """Where the owner finds it, for instance in the service manual."""
    least: QuantityText
    most: QuantityText
    needed: bool = False
    """Whether no job begins without it."""
    unknown: str = ""
    """What is said where the owner does not know it: then the job goes on without. Without this it is asked again."""

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.needed and self.unknown:
            raise ValueError("a value that is `needed` is there when it would be asked for: it has no `unknown`")
        return self


class Unnoted(Data):
    """What is said in the place of a note that the vehicle's file lacks."""

    say: str
    """In the sentence, instead of the note."""
    lacks: str
    """After the sentence, as in "Your file does not say which tool fits the drain plug"."""


class Procedure(Data):
    """A whole job."""

    id: Name
    title: str
    about: str
    values: dict[Name, Wanted] = Field(default_factory=dict)
    notes: dict[Name, Unnoted] = Field(default_factory=dict)
    """The notes that the texts name, and how to do without."""
    fits: tuple[Fit, ...] = ()
    """Which vehicles it is for, and why not for others."""
    one_of: tuple[tuple[Name, ...], ...] = ()
    """Groups of tags of which a vehicle has exactly one: which way of building it, for steps that differ by it."""
    built: tuple[OneOf, ...] = ()
    """The same with words for the owner, who is asked; of a group that is here, `one_of` need not tell."""
    computed: dict[Name, Computed] = Field(default_factory=dict)
    """Values that are worked out, by the names by which texts and bounds speak of them."""
    tables: dict[str, tuple[dict[str, str], ...]] = Field(default_factory=dict)
    """The rows of the tables in which they are looked up. They come from their own files when a job is read, and stay
    with it."""
    fluids: dict[Name, Fluid] = Field(default_factory=dict)
    verdicts: dict[Grade, str] = Field(default_factory=dict)
    """What the worst finding means, in words; without it, what it is called."""
    finish: str = ""
    """What is said at the end."""
    parts: tuple[Part, ...] = ()
    conditions: tuple[Condition, ...] = ()
    exposure: tuple[Exposure, ...] = ()
    gates: tuple[Gate, ...] = ()
    things: tuple[str, ...] = ()
    """Names of other things that a person may confirm by mistake, so that they are heard as what they are."""
    safe_ends: tuple[SafeEnd, ...] = ()
    """The states in which the job may be stopped before all is done."""
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]

    @model_validator(mode="before")
    @classmethod
    def _fluid_is_named(cls, content: Any) -> Any:
        return of_one_fluid(content)

    @model_validator(mode="after")
    def _fluids_are_known(self) -> Self:
        for step in self.steps:
            reading = step.reading
            of = {name for name in (step.drains, reading.of if reading else None) if name}
            _known(f"step {step.id!r}", "fluid", of, {*self.fluids})
            if reading and not reading.of and (reading.adds or reading.removes or reading.fills):
                raise ValueError(f"step {step.id!r}: the reading says of which fluid it is, as `of`")
            if reading and reading.of and reading.fills == "mark" and not self.fluids[reading.of].room:
                raise ValueError(f"step {step.id!r}: what fills to a mark is of a fluid with marks")
        return self

    @model_validator(mode="after")
    def _names_are_known(self) -> Self:
        parts, gates, steps, known = (
            {item.id for item in items} for items in (self.parts, self.gates, self.steps, self.conditions)
        )
        if len(steps) < len(self.steps):
            raise ValueError("two steps have the same id")
        causes = {*Act, "opened", "interrupted", *(f"{one}:{how}" for one in known for how in ("holds", "over"))}
        for step in self.steps:
            wanted = {*step.opens, *step.closes, *([step.tighten.part] if step.tighten else [])}
            _known(f"step {step.id!r}", "part", wanted, parts)
            _known(f"step {step.id!r}", "gate", {*step.needs}, gates)
            _known(f"step {step.id!r}", "step", {step.then} if step.then else set(), steps)
            _known(f"step {step.id!r}", "condition", {*step.sets, *step.ends, *step.holds, *step.never}, known)
        for rule in self.exposure:
            _known(
                f"the exposure of {', '.join(rule.where) or 'parts'}", "condition", {*rule.holds, *rule.never}, known
            )
        for condition in self.conditions:
            _known(f"condition {condition.id!r}", "condition", {*condition.excludes}, known)
        for gate in self.gates:
            for ask in gate.asks:
                _known(f"ask {ask.id!r}", "condition", {*ask.sets, *ask.ends, *ask.undoes}, known)
            _known(f"gate {gate.id!r}", "cause", {*gate.falls_on}, causes)
        return self

    def unfit(self, vehicle: Vehicle) -> str:
        """Return why the job is not for a vehicle, in a sentence; empty where it is."""
        return next((fit.why for fit in self.fits if not fit.of(frozenset(vehicle.tags))), "")

    @property
    def groups(self) -> tuple[OneOf, ...]:
        """The ways of building a vehicle by which the steps differ, those with words first."""
        worded = {tag for group in self.built for tag in group.tags}
        bare = (OneOf.of_tags(tags) for tags in self.one_of if not worded.issuperset(tags))
        return (*self.built, *bare)

    def step(self, name: str) -> Step:
        """Return the step of that id; KeyError where there is none."""
        return next((step for step in self.steps if step.id == name), None) or _missing(name)

    def part(self, name: str) -> Part:
        """Return the part of that id."""
        return next((part for part in self.parts if part.id == name), None) or _missing(name)

    def gate(self, name: str) -> Gate:
        """Return the gate of that id."""
        return next((gate for gate in self.gates if gate.id == name), None) or _missing(name)

    def condition(self, name: str) -> Condition:
        """Return the condition of that id."""
        return next((one for one in self.conditions if one.id == name), None) or _missing(name)

    def end(self, name: str) -> SafeEnd:
        """Return the safe end of that id."""
        return next((end for end in self.safe_ends if end.id == name), None) or _missing(name)


def _missing(name: str) -> Any:
    raise KeyError(name)


def _known(who: str, what: str, wanted: set[str], known: set[str]) -> None:
    if unknown := sorted(wanted - known):
        raise ValueError(f"{who} names the {what} {unknown[0]!r}; there are {', '.join(sorted(known))}")
