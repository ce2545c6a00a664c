"""Every kind of fact, by its name in the journal, and a fact with its place there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from assistant.core.job.events.beside import BesideEvent
from assistant.core.job.events.car import CarEvent
from assistant.core.job.events.gates import GateEvent
from assistant.core.job.events.job import JobEvent, JobFinished, JobStopped
from assistant.core.job.events.person import PersonEvent
from assistant.core.job.events.steps import StepEvent
from assistant.core.job.events.talk import TalkEvent
from assistant.core.job.events.values import ValueEvent

Event = JobEvent | StepEvent | GateEvent | ValueEvent | CarEvent | TalkEvent | PersonEvent | BesideEvent

ENDS = (JobFinished, JobStopped)
"""Facts after which a job is over."""

KINDS: dict[str, type[Event]] = {kind.__name__: kind for kind in get_args(Event)}
"""Every kind of event by its name in the journal."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event with its place in the journal."""

    job: str
    number: int
    """Running number within the job, from 1."""
    at: datetime
    event: Event
    place: int = 0
    """Running number among the facts of all jobs, in the order in which they were written; 0 where not yet known."""
