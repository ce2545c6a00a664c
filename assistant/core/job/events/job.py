"""Facts of a job as a whole: it begins, is put aside, is stopped, ends."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle


@dataclass(frozen=True, slots=True)
class JobOpened:
    """A job began; it carries its procedure and vehicle, so that its journal replays without any file."""

    procedure: Procedure
    vehicle: Vehicle
    told: dict[str, Spec] = field(default_factory=dict)
    """What the owner told of the vehicle in earlier jobs."""


@dataclass(frozen=True, slots=True)
class JobNamed:
    """The owner called the job by a name of their own; an empty one takes that away."""

    name: str


@dataclass(frozen=True, slots=True)
class JobPutAway:
    """The owner put the job away: it is offered no more, until it is taken up by its name."""


@dataclass(frozen=True, slots=True)
class Parked:
    """The job was put aside."""


@dataclass(frozen=True, slots=True)
class Resumed:
    """The job was taken up again after a stop."""


@dataclass(frozen=True, slots=True)
class TailLost:
    """The end of the job's record was damaged or is missing; what is left of it is kept aside, and not believed.

    Anything may have happened meanwhile: nothing of the car and the person is sure any more, and no permission stands.
    """

    facts: int
    """How many are lost, as far as that is known; 0 where it is not."""
    why: str


@dataclass(frozen=True, slots=True)
class StopCalled:
    """Something was found with which the job does not go on; how it ends is confirmed by name."""

    end: str
    """The safe end that it leads to."""
    reason: str
    """Why, as it was said."""
    reading: str = ""
    """The reading that showed it, where one did: it is taken back with this."""


@dataclass(frozen=True, slots=True)
class StopDropped:
    """What had led to an end was taken back before it was confirmed."""

    end: str


@dataclass(frozen=True, slots=True)
class JobStopped:
    """The job ended before all was done, in a state in which the car may be left; what is open stays open."""

    end: str
    reason: str


@dataclass(frozen=True, slots=True)
class JobFinished:
    """The job ended with nothing left open."""


JobEvent = (
    JobOpened | JobNamed | JobPutAway | Parked | Resumed | TailLost | StopCalled | StopDropped | JobStopped |
    JobFinished
)  # fmt: skip
