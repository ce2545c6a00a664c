"""What may be worked out beside a job, as data: by which words it is asked for, and how each input is asked.

It is read from `procedures/phrases/beside.yaml`. What an input is, and its bounds, the computation itself says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.work_out import CALCULATIONS
from assistant.core.data.base import Data, Name, Says
from assistant.core.grammar.jsgf import Node, parse_expansion
from assistant.core.quantities.figures import written_as_words
from assistant.core.quantities.units import Kind
from assistant.core.types import Phrase

TwoWays = Annotated[tuple[str, ...], Field(min_length=2)]
"""Phrasings of one meaning that sound different, each a JSGF expansion."""
SAID = frozenset({Kind.VOLUME, Kind.TORQUE, Kind.MASS, Kind.DISTANCE, Kind.LENGTH, Kind.DURATION, Kind.PRESSURE,
                  Kind.VOLTAGE, Kind.CURRENT, Kind.SHARE, Kind.TEMPERATURE, Kind.COUNT})  # fmt: skip
"""Kinds that are said with their unit; of others the unit is part of the question, and a plain number is said."""
THREAD, FIGURES, UNIT = "thread", "one-by-one", "unit"
"""How a thread is said, "metric fourteen by one point five", how figures are, one by one, and the name of a unit."""


class Wish(Data):
    """One input of a computation, as it is asked for."""

    name: str = ""
    """As it is spoken; without one, the name of the input."""
    ask: str = ""
    """The question; empty for what the job always knows, and for what is typed."""
    known: tuple[Name, ...] = ()
    """Names of what the job may know of it (`known.py`), the first one that it does."""
    says: dict[str, Says] = Field(default_factory=dict)
    """For a text out of a list: how each is said."""
    unit: str = ""
    """Unit of a number that is said without one, because the question names it."""
    number: str = ""
    """For a text that is known by a number: the text, with braces in the place of the number, as `DOT {}`."""
    kind: Literal["length", "unit", ""] = ""
    """For a text that is the name of a unit, or an amount out of a list: how it is said."""
    figures: int = 0
    """How many figures it has, said one by one."""
    form: str = ""
    """A text made of `parts`, whose names stand in it in braces."""
    parts: dict[str, str] = Field(default_factory=dict)
    """Numbers that are asked for one after the other, each with its question."""
    typed: bool = False
    """True for what can't be said: lists, grades, approvals."""


class Sum(Data):
    """A computation, as it is asked for."""

    about: Name
    says: TwoWays
    asks: dict[Name, Wish]


class Subject(Data):
    """What several computations are about."""

    name: str
    says: TwoWays


class Catalogue(Data):
    """All that may be worked out beside a job."""

    begin: str
    """The first question."""
    subjects: dict[Name, Subject] = Field(default_factory=dict)
    sums: dict[str, Sum] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _fits_the_computations(self) -> Self:
        for name, one in self.sums.items():
            if name not in CALCULATIONS or one.about not in self.subjects:
                raise ValueError(f"{name}: there is no such computation, or no subject {one.about!r}")
            if fault := next(_faults(CALCULATIONS[name], one), ""):
                raise ValueError(f"{name}: {fault}")
        return self

    def phrases(self) -> tuple[Phrase, ...]:
        """Return the ways to ask for each subject and each computation."""
        every = {name: one.says for name, one in self.subjects.items()}
        every |= {name: one.says for name, one in self.sums.items()}
        return tuple(Phrase(ASKS, text, option=name) for name, says in every.items() for text in says)

    def word_for_word(self, line: str) -> str | None:
        """Return the subject or the computation that a typed line asks for word for word; None for any other line."""
        words = written_as_words(line)
        every = ((phrase.option, parse_expansion(phrase.says)) for phrase in self.phrases())
        return next((option for option, node in every if words in sentences(node)), None) if words else None

    def of_subject(self, subject: str) -> tuple[str, ...]:
        """Return the names of the computations about a subject, in their order."""
        return tuple(name for name, one in self.sums.items() if one.about == subject)


def sentences(node: Node) -> frozenset[str]:
    """Return every wording of an expansion without rules and repeats."""
    match node.kind:
        case "any":
            return frozenset[str]().union(*map(sentences, node.parts))
        case "maybe":
            return sentences(node.parts[0]) | {""}
        case "all":
            rows = product(*map(sentences, node.parts))
            return frozenset(" ".join(filter(None, row)) for row in rows)
        case _:
            return frozenset((node.text,))


ASKS = "work-out"
"""The intent of asking for a computation; its option is a subject or a computation, none for anything."""


@dataclass(frozen=True, slots=True)
class Sums:
    """What is needed to work anything out: how it is asked for, and the tables that it is looked up in."""

    catalogue: Catalogue = field(default_factory=lambda: Catalogue(begin=""))
    tables: Mapping[str, Sequence[Row]] = field(default_factory=dict)


NO_SUMS = Sums()
"""Nothing can be worked out."""


def inputs_of(calculation: Calculation) -> dict[str, Input]:
    """Return the inputs of a computation by name."""
    return {each.name: each for each in calculation.inputs}


def slot_of(each: Input, wish: Wish) -> str:
    """Return the rule by which an input is said; empty for words out of a list, and for what is typed."""
    if wish.typed or wish.says:
        return ""
    if wish.kind:
        return wish.kind
    if wish.parts or wish.unit or wish.number:
        return str(Kind.COUNT)
    if wish.figures:
        return FIGURES
    forms: dict[Kind | Form, str] = {Form.LEVEL: "level", Form.AMOUNT: "quantity", Form.TEXT: THREAD}
    return forms.get(each.takes, str(each.takes))


def _faults(calculation: Calculation, asked: Sum) -> Iterator[str]:
    """Yield what of a computation is asked for wrongly, or not at all."""
    inputs = inputs_of(calculation)
    yield from (f"it takes no {name!r}" for name in asked.asks if name not in inputs)
    yield from (f"nobody asks for {name!r}" for name, each in inputs.items()
                if each.default is None and name not in asked.asks)  # fmt: skip
    for name, wish in asked.asks.items():
        if name in inputs:
            yield from (f"{name}: {fault}" for fault in _wrong(inputs[name], wish))


def _wrong(each: Input, wish: Wish) -> Iterator[str]:
    if not (wish.ask or wish.parts or wish.known or wish.typed):
        yield "it has no question"
    if wish.says and each.options and not set(wish.says).issubset(each.options):
        yield f"it is one of: {', '.join(each.options)}"
    if isinstance(each.takes, Kind) and each.takes not in SAID and not (wish.unit or wish.typed):
        yield "it needs the unit that its question names"
    ways = (wish.says, wish.figures, wish.parts, wish.typed, wish.number, wish.kind)
    if each.takes is Form.TEXT and not (any(ways) or each.name == THREAD):
        yield "it can't be said: list its words, or have it typed"
