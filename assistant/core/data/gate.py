"""Permissions that are asked for by challenge and response, as data. No answer can be given without looking."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name, Says, Tagged
from assistant.core.data.car import Act
from assistant.core.data.measured import Bound, Finding, Grade
from assistant.core.quantities.units import Kind


class Option(Data):
    """One answer of a list."""

    id: Name
    says: Says
    show: str
    refuse: str | None = None
    """For an answer that shows the opposite of what is wanted: what to say and do. The question stays open."""
    at_once: bool = False
    """Of a choice that is made while a time runs: true where it need not be over."""
    grade: Grade | None = None
    """How good it is what it tells, where that is a finding."""
    stop: Name | None = None
    """The safe end that such an answer leads to; why, is said in `refuse`."""
    again: Annotated[float, Field(gt=0, le=24 * 60)] | None = None
    """After how long it is asked again [minute]; what to do meanwhile is said in `refuse`."""

    @model_validator(mode="after")
    def _says_why(self) -> Self:
        if self.stop and self.again:
            raise ValueError("an answer that stops the job is not asked for again: it has `stop` or `again`")
        if (self.stop or self.again) and not self.refuse:
            raise ValueError("an answer with `stop` or `again` says in `refuse` why, or what to do")
        return self


class Ask(Tagged):
    """One challenge of a gate. Its answer is evidence: it can't be given without looking or touching."""

    id: Name
    proves: tuple[Name, ...]
    ask: str
    denied: str
    """What to say and do where the person denies what is wanted."""
    options: tuple[Option, ...] = ()
    kind: Kind | None = None
    says: tuple[str, ...] = ()
    """Ways to say the number around the rule `<quantity>`; without any, alone."""
    show: str = ""
    """The number for reading back, in braces `{value}`; without it, the number alone."""
    least: int | Name | None = None
    """For a number: the least that is accepted, or the name of a computed value."""
    too_little: str = ""
    most: int | Annotated[str, Field(min_length=1)] | None = None
    """The most that can be: a number, or an amount with its unit."""
    too_much: str = ""
    equal: Bound | None = None
    """The number that has to be met exactly, in the place of `least` and `most`."""
    finding: Finding | None = None
    """What the answer is a finding of, where it has a grade."""
    undoes: tuple[Name, ...] = ()
    """Conditions that can't be relied on any more where the answer shows the opposite of what is wanted."""
    sets: tuple[Name, ...] = ()
    """Conditions that hold once it is answered."""
    ends: tuple[Name, ...] = ()

    @model_validator(mode="after")
    def _can_be_answered(self) -> Self:
        if not self.options and self.kind is None:
            raise ValueError("an ask has `options`, a `kind`, or both")
        bounds = (self.least is not None, self.most is not None)
        if self.kind is not None and (any(bounds) if self.equal is not None else not all(bounds)):
            raise ValueError("an ask for a number needs `least` and `most`, or `equal` alone")
        if self.kind is not None and not (self.too_little and self.too_much):
            raise ValueError("an ask for a number says what to do where it is `too_little` or `too_much`")
        return self


class Gate(Data):
    """A permission that is asked for by challenge and response, and that falls with its cause."""

    id: Name
    name: str
    """What it permits, as it is confirmed: "going under the car"."""
    intro: str
    granted: str
    asks: Annotated[tuple[Ask, ...], Field(min_length=1)]
    falls_on: tuple[Act | Name, ...]
    """What ends it: acts that begin, a condition that came to hold (`in-gear:holds`) or no longer surely does
    (`on-stands:over`), `opened` and `interrupted`."""
