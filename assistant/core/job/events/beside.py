"""Facts of what is worked out beside the job."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class AsideAsked:
    """Something is to be worked out beside the job, and one thing is asked for that: it carries all that was told."""

    work: str
    """Name of the computation; empty while it is asked which one."""
    wanted: str
    """Name of the input that is asked for; of a part of one behind a colon."""
    ask: str
    say: str
    """What is said before the question: what was heard, or what the job knows already."""
    slot: str = ""
    """The rule by which the answer is said, if it is a value."""
    options: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Answers out of a list, each with the ways to say it."""
    offers: tuple[str, ...] = ()
    """Subjects and computations that may be asked for."""
    given: dict[str, str] = field(default_factory=dict)
    """The inputs so far, each as a person would write it."""


@dataclass(frozen=True, slots=True)
class AsideTakenBack:
    """The person took back what they told last beside the job: it is asked for anew."""


@dataclass(frozen=True, slots=True)
class AsideLeft:
    """What was asked beside the job was left without an answer."""


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """Something was worked out beside the job, and told."""

    work: str
    given: dict[str, str]
    say: str


BesideEvent = AsideAsked | AsideTakenBack | AsideLeft | WorkedOut
