"""What a rule is, what it looks at beside the file itself, and what it finds. Reads no files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Generic, TypeVar

from assistant.core.compute.base.calculation import Row
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.grammar.jsgf import Rules
from assistant.core.hearing.contraries.turning_words import TurningWords
from assistant.core.hearing.near.sounds import Lexicon
from assistant.core.proof.checks import Place
from assistant.core.types import Phrase

Found = tuple[Place, str]
"""Where a rule is broken, and what is wrong there."""
Thing = TypeVar("Thing")
Item = TypeVar("Item")


class Severity(StrEnum):
    """What becomes of a file that breaks a rule: nobody works by it, or it is told when the file is checked."""

    FAULT = "fault"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Hearing:
    """What phrases are held against: what may be said in every job, how words sound, and what is excepted."""

    general: tuple[Phrase, ...]
    turning: TurningWords
    near: Mapping[str, Any] = field(default_factory=dict)
    """Pairs that may sound alike and wordings that may be short, each with its reason."""
    badly_heard: tuple[str, ...] = ()
    lexicon: Lexicon = lambda word: ()
    laid_out: list[tuple[Procedure, Any]] = field(default_factory=list, compare=False)
    """The job that was looked at last, with what rests on its phrases: it takes a second to lay out."""
    measure: list[tuple[frozenset[str], Any]] = field(default_factory=list, compare=False)
    """What was measured last, with its measure: each pair of phrases is measured once for all jobs."""


@dataclass(frozen=True, slots=True)
class Beside:
    """What a file is checked beside."""

    grammar: Rules = field(default_factory=dict)
    jobs: tuple[Procedure, ...] = ()
    vehicles: tuple[Vehicle, ...] = ()
    tables: Mapping[str, Sequence[Row]] = field(default_factory=dict)
    hearing: Hearing | None = None
    twins: tuple[str, ...] = ()
    """Other files that give themselves the id of the vehicle at hand."""
    line_of: Callable[[Place], tuple[str, int]] = lambda place: ("", 0)
    """In which file, and on which of its lines, a place stands."""
    remarks: Callable[[str], frozenset[int]] | None = None
    """Tells the lines of a file with a remark behind `#`; None where nobody knows them."""


@dataclass(frozen=True, slots=True)
class Rule(Generic[Thing]):
    """One rule: what it finds in a job or a vehicle, and what is told of it."""

    id: str
    severity: Severity
    reason: str
    mend: str
    finds: Callable[[Thing, Beside], Iterable[Found]]
    slow: bool = False
    """Whether it takes seconds: then nobody who begins a job waits for it."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """A broken rule at a place of a file, as it is told."""

    file: str
    line: int
    column: int
    rule: str
    severity: Severity
    place: str
    what: str
    mend: str = ""

    def __str__(self) -> str:
        """Return it as a line: file:line:column, which rule, what is wrong, the mend."""
        at = f"{self.file}:{self.line}:{self.column}"
        told = f"{self.what.removesuffix('.')}. {self.mend}" if self.mend else self.what
        return f"{at}: {self.severity} [{self.rule}] {self.place}: {told}"


def numbered(items: Iterable[Item], *before: int | str) -> Iterator[tuple[Place, Item]]:
    """Yield each thing of a list with its place."""
    for number, item in enumerate(items):
        yield (*before, number), item
