"""The desk with the job at hand and the ports behind it, and one turn of the talk over it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from assistant.core.data.catalogue import NO_SUMS, Sums
from assistant.core.errors import DeviceError
from assistant.core.job import events as e
from assistant.core.job.state import State
from assistant.core.types import Phrase, Reply, Understanding
from assistant.path.ears import Ears
from assistant.path.mouth import Mouth
from assistant.ports import Caller, Clock, Journal


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of the talk: what was understood, which facts followed, what was answered."""

    understanding: Understanding | None
    recorded: tuple[e.Recorded, ...]
    state: State
    reply: Reply


@dataclass(slots=True)
class Desk:
    """The job at hand, and what stands behind each port. The state changes only in `take`."""

    job: str
    state: State
    journal: Journal
    clock: Clock
    ears: Ears
    phrases: tuple[Phrase, ...]
    sums: Sums = NO_SUMS
    """What may be worked out beside the job."""
    mouth: Mouth = field(default_factory=Mouth)
    call: Phrase | None = None
    """The words by which it wants to be called first; None where it need not be."""
    attentive_until: datetime | None = None
    """Until when it need not be called: it was called, or spoke itself, just before."""
    check_in_after: timedelta | None = None
    caller: Caller | None = None
    """Runs the owner's command for an alarm; None where none is set."""
    deaf: DeviceError | None = None
    """Why nothing is heard at all; None while all is well."""
    keeps_words: bool = False
    """Whether the journal keeps, word for word, what was not understood or not meant for the assistant."""
    prompted: str = ""
    """The question whose possible answers were told last, until something is understood again."""
