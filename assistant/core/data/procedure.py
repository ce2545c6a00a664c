"""A whole job as it is read from files, as frozen data: its values, parts, conditions, gates and steps.

The format is described in `procedures/README.md`. The names that it uses are looked at where it is put together.
"""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import Field, ValidationInfo, model_validator

from assistant.core.data.base import Data, Name, QuantityText
from assistant.core.data.building import Fit, OneOf
from assistant.core.data.car import Act, Condition, Exposure
from assistant.core.data.control import SafeEnd
from assistant.core.data.gate import Gate
from assistant.core.data.measured import Computed, Fluid, Grade, of_one_fluid
from assistant.core.data.part import Part
from assistant.core.data.step import Step
from assistant.core.data.vehicle import Vehicle
from assistant.core.quantities.units import Kind

NAMES_LATER = "names are looked at later"
"""Context of a check of the form alone: the rules of `core/proof` look at the names, and tell the place of each."""


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
    def _names_are_known(self, info: ValidationInfo) -> Self:
        if info.context == NAMES_LATER:
            return self
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
