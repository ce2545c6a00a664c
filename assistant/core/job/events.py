"""The facts of a job, in the past tense, and their one codec. A fact is never changed; a later one adds to it.

Everything that is said is worked out from these; what was refused or not understood is a fact too.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields, replace
from datetime import datetime
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError

from assistant.core.data.base import QuantityText
from assistant.core.data.procedure import Procedure, Spec, Vehicle
from assistant.core.errors import DataError
from assistant.core.job.older_forms import FORM, lift, without
from assistant.core.quantities.units import Level

Measured = QuantityText | Level


@dataclass(frozen=True, slots=True)
class JobOpened:
    """A job began; it carries its procedure and vehicle, so that its journal replays without any file."""

    procedure: Procedure
    vehicle: Vehicle
    told: dict[str, Spec] = field(default_factory=dict)
    """What the owner told of the vehicle in earlier jobs."""


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
class EvidenceGiven:
    """A challenge of a gate was answered with evidence that is good enough."""

    gate: str
    ask: str
    answer: str
    """What was answered, for the eye."""


@dataclass(frozen=True, slots=True)
class EvidenceWithdrawn:
    """The person took an answer to a gate's challenge back."""

    gate: str
    ask: str


@dataclass(frozen=True, slots=True)
class GatePassed:
    """All challenges of a gate were answered, read back, and confirmed by its name."""

    gate: str


@dataclass(frozen=True, slots=True)
class GateFell:
    """A permission ended with its cause."""

    gate: str
    cause: str


@dataclass(frozen=True, slots=True)
class ClaimHeard:
    """Something consequential was said and read back; it counts once it is confirmed by name."""

    what: str
    """Name of the thing to confirm, as spoken."""
    value: QuantityText | None = None
    name: str = ""
    """Of a value of the vehicle: which one."""


@dataclass(frozen=True, slots=True)
class ClaimDropped:
    """What was read back was not confirmed."""

    what: str


@dataclass(frozen=True, slots=True)
class ToolMeasured:
    """The person told how long the wrench or its adapter is."""

    tool: str
    """`wrench` or `adapter`."""
    length: QuantityText


@dataclass(frozen=True, slots=True)
class ValueTold:
    """The owner told a value that the vehicle's file lacks."""

    vehicle: str
    name: str
    spec: Spec


@dataclass(frozen=True, slots=True)
class ValueWithdrawn:
    """The owner said that a value that they had told is wrong: it is asked for anew."""

    vehicle: str
    name: str


@dataclass(frozen=True, slots=True)
class ValueUnknown:
    """The owner does not know a value: the job goes on without it, as it says."""

    name: str


@dataclass(frozen=True, slots=True)
class VehicleOffered:
    """The vehicle's file says other values than the job has: the owner is asked which ones to go by."""

    vehicle: Vehicle
    """The vehicle as its file is now."""


@dataclass(frozen=True, slots=True)
class VehicleTaken:
    """From now on the job goes by other values of the vehicle; what was done by the old ones stays as it was done."""

    vehicle: Vehicle
    taken_back: bool = False
    """Whether the owner took it back that they wanted new ones."""


@dataclass(frozen=True, slots=True)
class VehicleDeclined:
    """The job stays with the values that it has."""


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """A value was read off or measured."""

    step: str
    name: str
    value: Measured
    adds: bool = False
    removes: bool = False
    of: str = ""
    """The fluid of which it tells how much there is."""


@dataclass(frozen=True, slots=True)
class ReadingWithdrawn:
    """A reading was put right: it no longer counts."""

    step: str
    name: str


@dataclass(frozen=True, slots=True)
class TorqueGiven:
    """A fastener was tightened, and confirmed by name."""

    part: str
    value: QuantityText


@dataclass(frozen=True, slots=True)
class TorqueWithdrawn:
    """A torque was put right before the fastener was turned further: it no longer counts."""

    part: str


@dataclass(frozen=True, slots=True)
class AngleGiven:
    """A fastener was turned further after its torque, and confirmed by name."""

    part: str
    value: QuantityText


@dataclass(frozen=True, slots=True)
class NewShown:
    """The person said that what may be used once only is new, before a part is closed with it."""

    part: str


@dataclass(frozen=True, slots=True)
class NewWithdrawn:
    """The person took back that it is new."""

    part: str


@dataclass(frozen=True, slots=True)
class PartOpened:
    """Something was loosened, removed or opened, or counts as open again."""

    part: str


@dataclass(frozen=True, slots=True)
class PartClosed:
    """Something was put back."""

    part: str


@dataclass(frozen=True, slots=True)
class ConditionChanged:
    """Something came to hold of the car, or no longer holds, or is no longer sure."""

    condition: str
    holds: bool | None
    """None where it may hold or not."""
    said: bool = False
    """Whether the person said so by itself, and may take it back."""


@dataclass(frozen=True, slots=True)
class Drained:
    """A fluid ran out: what was poured in before no longer counts."""

    fluid: str


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


@dataclass(frozen=True, slots=True)
class Asked:
    """The person asked something that changes nothing."""

    topic: str


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


@dataclass(frozen=True, slots=True)
class Refused:
    """Something was not allowed or cannot be right."""

    code: str
    say: str


@dataclass(frozen=True, slots=True)
class Denied:
    """The person said that something is not so, or is not to happen."""

    what: str
    """The name of the meaning that was denied, and its option; empty for what was asked."""
    heard: str


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Speech that could mean two things, or nothing clearly; it was asked again."""

    heard: str
    """What was written of it, word for word; empty unless the owner keeps that."""
    first: str
    """What it was most likely of all that is allowed; `second` is what it may have been as well."""
    second: str


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """Speech that was not meant for the assistant."""

    heard: str
    """What was written of it, word for word; empty unless the owner keeps that."""


@dataclass(frozen=True, slots=True)
class CheckedIn:
    """Nothing was heard from under the car for a while, so the person was asked: 1 asked, 2 louder, from 3 on alarm."""

    level: int


@dataclass(frozen=True, slots=True)
class HelpCalled:
    """The person called for help: the alarm goes on until they say that all is well."""


@dataclass(frozen=True, slots=True)
class HelpTried:
    """The owner's own command for an alarm was run."""

    trial: bool
    fault: str
    """Why it failed; empty where it did not."""


@dataclass(frozen=True, slots=True)
class DangerSaid:
    """The person said that the car is not safe: it moved, or is about to."""


@dataclass(frozen=True, slots=True)
class CameOut:
    """The person said that they are out from under the car."""


@dataclass(frozen=True, slots=True)
class ListeningPaused:
    """The person told the assistant to hear nothing but the words that end it."""


@dataclass(frozen=True, slots=True)
class ListeningResumed:
    """The person told it to listen again."""


@dataclass(frozen=True, slots=True)
class Parked:
    """The job was put aside."""


@dataclass(frozen=True, slots=True)
class Resumed:
    """The job was taken up again after a stop."""


@dataclass(frozen=True, slots=True)
class JobNamed:
    """The owner called the job by a name of their own; an empty one takes that away."""

    name: str


@dataclass(frozen=True, slots=True)
class JobPutAway:
    """The owner put the job away: it is offered no more, until it is taken up by its name."""


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


Event = (
    JobOpened | StepEntered | StepBegun | StepDone | StepSkipped | StepReopened | ChoiceMade | ChoiceWithdrawn
    | EvidenceGiven | EvidenceWithdrawn | GatePassed | GateFell | ClaimHeard | ClaimDropped | ToolMeasured | ValueTold
    | ValueUnknown | ValueWithdrawn | ReadingTaken | ReadingWithdrawn | TorqueGiven | TorqueWithdrawn | AngleGiven
    | NewShown | NewWithdrawn | PartOpened | PartClosed
    | ConditionChanged | Drained | TimerStarted | TimerEnded | Asked | Refused | Denied | NotUnderstood | LeftAlone
    | CheckedIn | HelpCalled | HelpTried | DangerSaid | CameOut | ListeningPaused | ListeningResumed | Parked | Resumed
    | JobNamed | JobPutAway | TailLost | VehicleOffered | VehicleTaken | VehicleDeclined | StopCalled | StopDropped
    | JobStopped | JobFinished | AsideAsked | AsideTakenBack | AsideLeft | WorkedOut
)  # fmt: skip

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


_ADAPTERS: dict[str, TypeAdapter[Any]] = {name: TypeAdapter(kind) for name, kind in KINDS.items()}


def without_words(event: Event) -> Event:
    """Return an event as it is kept: that something was said is a fact, but not what people said to each other."""
    return replace(event, heard="") if isinstance(event, NotUnderstood | LeftAlone) else event


def encode(event: Event) -> tuple[str, str]:
    """Return an event as the name of its kind and a JSON object."""
    kind = type(event)
    body = _ADAPTERS[kind.__name__].dump_python(event, mode="json")
    return kind.__name__, json.dumps(body, ensure_ascii=False, separators=(",", ":"))


def decode(kind: str, body: str, form: int = FORM) -> Event:
    """Return the event of that kind, JSON object and form; DataError where they do not fit.

    Older forms are lifted, and fields that nobody knows any more are passed over.
    """
    if form < FORM:
        kind, body = lift(kind, body, form)
    if form > FORM or kind not in KINDS:
        raise DataError(f"the journal holds an event of the unknown kind {kind!r}: use a newer program to read it")
    try:
        event: Event = _read(_ADAPTERS[kind], body)
    except ValueError as error:
        raise DataError(f"the journal holds a {kind} that cannot be read: {error}") from error
    return event


def _read(adapter: TypeAdapter[Any], body: str) -> Any:
    try:
        return adapter.validate_json(body)
    except ValidationError as error:
        unknown = [one["loc"] for one in error.errors() if one["type"] == "extra_forbidden"]
        if not unknown:
            raise
        return adapter.validate_json(json.dumps(without(json.loads(body), unknown)))


def describe(event: Event) -> str:
    """Return one line for the eye: the kind and its plain fields."""
    if isinstance(event, JobOpened):
        return f"JobOpened procedure={event.procedure.id} vehicle={event.vehicle.id}"
    if isinstance(event, VehicleOffered | VehicleTaken):
        values = " ".join(f"{name}={_plain(spec)}" for name, spec in event.vehicle.values.items())
        return f"{type(event).__name__} vehicle={event.vehicle.id} {values}"
    parts = (f"{field.name}={_plain(getattr(event, field.name))}" for field in fields(event))
    return " ".join((type(event).__name__, *parts))


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, Spec):
        return f"{value.value.magnitude} {value.value.unit} ({value.source})"
    if hasattr(value, "magnitude"):
        return f"{value.magnitude} {value.unit}"
    return value.said if isinstance(value, Level) else str(value)
