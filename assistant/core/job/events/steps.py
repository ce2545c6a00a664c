"""Facts of the way through a job: steps, choices between ways, times that run at a step."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class StepEntered:
    """The person was led to a step; what it needs may still be asked for."""

    step: str


@dataclass(frozen=True, slots=True)
class StepBegun:
    """The person was told to do the step: from now on what it does with the car may have begun."""

    step: str


@dataclass(frozen=True, slots=True)
class StepDone:
    """The person said that a step is done."""

    step: str


@dataclass(frozen=True, slots=True)
class StepSkipped:
    """An optional step was left out."""

    step: str


@dataclass(frozen=True, slots=True)
class StepReopened:
    """The person went back to a step; what it had put back counts as open again."""

    step: str
    place: int | None = None
    """Which place of the way it is, from 0; None for the last one of that step."""


@dataclass(frozen=True, slots=True)
class ChoiceMade:
    """A way to do the job was chosen."""

    name: str
    option: str


@dataclass(frozen=True, slots=True)
class ChoiceWithdrawn:
    """The person took a choice back."""

    name: str


@dataclass(frozen=True, slots=True)
class TimerStarted:
    """A time began to run."""

    name: str
    due: datetime
    minutes: float = 0.0
    """How long it runs in all [minute]; 0 where the wait of its step tells it."""


@dataclass(frozen=True, slots=True)
class TimerEnded:
    """A time ran out, or was ended early by the person."""

    name: str
    early: bool = False


StepEvent = (
    StepEntered | StepBegun | StepDone | StepSkipped | StepReopened | ChoiceMade | ChoiceWithdrawn | TimerStarted |
    TimerEnded
)  # fmt: skip
