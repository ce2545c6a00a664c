"""The facts of a job, in the past tense, by what they tell of. A fact is never changed; a later one adds to it.

Everything that is said is worked out from these; what was refused or not understood is a fact too. `kinds.py` puts
their kinds together, `codec.py` writes and reads them.
"""

from assistant.core.job.events.beside import AsideAsked, AsideLeft, AsideTakenBack, WorkedOut
from assistant.core.job.events.car import (
    AngleGiven,
    ConditionChanged,
    Drained,
    NewShown,
    NewWithdrawn,
    PartClosed,
    PartOpened,
    TorqueGiven,
    TorqueWithdrawn,
)
from assistant.core.job.events.codec import decode, describe, encode, without_words
from assistant.core.job.events.gates import EvidenceGiven, EvidenceWithdrawn, GateFell, GatePassed
from assistant.core.job.events.job import (
    JobFinished,
    JobNamed,
    JobOpened,
    JobPutAway,
    JobStopped,
    Parked,
    Resumed,
    StopCalled,
    StopDropped,
    TailLost,
)
from assistant.core.job.events.kinds import ENDS, KINDS, Event, Recorded
from assistant.core.job.events.person import CameOut, CheckedIn, DangerSaid, HelpCalled, HelpTried
from assistant.core.job.events.steps import (
    ChoiceMade,
    ChoiceWithdrawn,
    StepBegun,
    StepDone,
    StepEntered,
    StepReopened,
    StepSkipped,
    TimerEnded,
    TimerStarted,
)
from assistant.core.job.events.talk import (
    Asked,
    ClaimDropped,
    ClaimHeard,
    Denied,
    LeftAlone,
    ListeningPaused,
    ListeningResumed,
    NotUnderstood,
    Refused,
)
from assistant.core.job.events.values import (
    ReadingTaken,
    ReadingWithdrawn,
    ToolMeasured,
    ValueTold,
    ValueUnknown,
    ValueWithdrawn,
    VehicleDeclined,
    VehicleOffered,
    VehicleTaken,
)

__all__ = [
    "ENDS", "KINDS", "AngleGiven", "AsideAsked", "AsideLeft", "AsideTakenBack", "Asked", "CameOut", "CheckedIn",
    "ChoiceMade", "ChoiceWithdrawn", "ClaimDropped", "ClaimHeard", "ConditionChanged", "DangerSaid", "Denied",
    "Drained", "Event", "EvidenceGiven", "EvidenceWithdrawn", "GateFell", "GatePassed", "HelpCalled", "HelpTried",
    "JobFinished", "JobNamed", "JobOpened", "JobPutAway", "JobStopped", "LeftAlone", "ListeningPaused",
    "ListeningResumed", "NewShown", "NewWithdrawn", "NotUnderstood", "Parked", "PartClosed", "PartOpened",
    "ReadingTaken", "ReadingWithdrawn", "Recorded", "Refused", "Resumed", "StepBegun", "StepDone", "StepEntered",
    "StepReopened", "StepSkipped", "StopCalled", "StopDropped", "TailLost", "TimerEnded", "TimerStarted",
    "ToolMeasured", "TorqueGiven", "TorqueWithdrawn", "ValueTold", "ValueUnknown", "ValueWithdrawn", "VehicleDeclined",
    "VehicleOffered", "VehicleTaken", "WorkedOut", "decode", "describe", "encode", "without_words",
]  # fmt: skip
