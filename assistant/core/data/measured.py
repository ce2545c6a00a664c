"""What is worked out and judged in a job, as data: computed values, fluids, bands with their grades, findings.

Nothing here calculates: a computed value names a computation of `core/compute/work_out.py` and says what it is given.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from assistant.core.data.base import Data, Name
from assistant.core.data.car import Act

Bound = int | Annotated[str, Field(min_length=1)]
"""A limit: a number of things, an amount with its unit, or the name of a value, a reading or a computed value."""


def _text(value: Any) -> Any:
    """Return what YAML takes for a number or a truth as the text that was meant: `5`, `yes`."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, int) else value


Written = Annotated[str, Field(min_length=1), BeforeValidator(_text)]


class Grade(StrEnum):
    """How good it is what was found, from best to worst."""

    GOOD = "good"
    SOON = "soon"
    STOP = "stop"


RANKS = tuple(Grade)
"""The grades from best to worst."""


class Band(Data):
    """A range of a reading or of a computed value. Of several the first that fits counts."""

    id: Name
    below: Bound | None = None
    above: Bound | None = None
    grade: Grade | None = None
    say: str = ""
    """What is said after the value that lies in it."""
    stop: Name | None = None
    """The safe end to which a value that lies in it leads; why, is said in `say`."""

    @model_validator(mode="after")
    def _says_why(self) -> Self:
        if self.stop and not self.say:
            raise ValueError("a band with `stop` says in `say` why the job does not go on")
        return self


def check_bands(whose: str, bands: tuple[Band, ...]) -> None:
    """Raise ValueError for bands of which one can't be reached, or that leave a value out."""
    names = [band.id for band in bands]
    if len({*names}) < len(names):
        raise ValueError(f"two bands of {whose} have the same id")
    bounded = [band.below is not None or band.above is not None for band in bands]
    if bands and (bounded[-1] or not all(bounded[:-1])):
        raise ValueError(f"each band of {whose} has `below` or `above`, but for the last, which takes all that is left")


class Computed(Data):
    """A value that is worked out from others, by name."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    work_out: Name
    """The computation, as `assistant work-out --list` names it."""
    inputs: dict[Name, Written | tuple[Written, ...]] = Field(default_factory=dict, alias="with")
    """What it is given, by the names of its inputs: the name of a value, a reading, a choice or another computed value,
    an amount or a text as it is written, `today`, or `graduation`, the smallest step of the owner's jug. A list is
    joined; a part of it may have a label: `left: thickness-left`."""
    gives: str = ""
    """Which of its further values is meant; without it the main one."""
    bands: tuple[Band, ...] = ()
    report: str = ""
    """What it is called in the report of the job; without it, it is not in there."""

    @model_validator(mode="after")
    def _bands_fit(self) -> Self:
        check_bands(self.work_out, self.bands)
        return self


class Fluid(Data):
    """A fluid that the job changes or tops up, and the names of the values that say how much of it there is."""

    name: str
    capacity: Name
    least: Name
    """From how much on what it is `needed_by` may be done."""
    first: Name
    """How much to pour in first."""
    span: Name | None = None
    """How much lies between its marks; this, `room` and `surplus` only where it has marks."""
    room: Name | None = None
    """How much may be poured in by the last reading of the marks."""
    surplus: Name | None = None
    """How much has to be drawn off by the last reading of the marks."""
    gauge: str = "the level"
    """What it is read from, as it is spoken of: "the dipstick"."""
    needed_by: tuple[Act, ...] = (Act.RUNNING,)
    """What must not be done with too little or too much of it."""

    @model_validator(mode="after")
    def _marks_are_whole(self) -> Self:
        if (self.span is None) != (self.room is None) or (self.surplus and not self.span):
            raise ValueError("a fluid with marks has `span` and `room`, one without has neither, nor a `surplus`")
        return self


class Finding(Data):
    """What a step finds: with the grade of the band or the option it becomes a finding of the job."""

    place: str
    """Where: "front left"."""
    what: str
    """What: "brake pads"."""
    by: Name | None = None
    """The reading, choice or computed value whose grade counts; without it the step's own question."""


def of_one_fluid(job: Any) -> Any:
    """Return a job as data where each step names its fluid; where there is but one, a file need not name it."""
    fluids = job.get("fluids") if isinstance(job, dict) else None
    if not (isinstance(fluids, dict) and isinstance(job.get("steps"), list | tuple)):
        return job
    only = next(iter(fluids)) if len(fluids) == 1 else None
    return {**job, "steps": [_named(step, only) for step in job["steps"]]}


def _named(step: Any, only: Any) -> Any:
    if not isinstance(step, dict):
        return step
    drains, reading = step.get("drains"), step.get("reading")
    changes: dict[str, Any] = {}
    if isinstance(drains, bool) and (only or not drains):
        changes["drains"] = only if drains else None
    if only and isinstance(reading, dict) and "of" not in reading and _tells_of_fluid(reading):
        changes["reading"] = {**reading, "of": only}
    return {**step, **changes} if changes else step


def _tells_of_fluid(reading: dict[str, Any]) -> bool:
    return bool(reading.get("adds") or reading.get("removes") or reading.get("kind") == "level")
