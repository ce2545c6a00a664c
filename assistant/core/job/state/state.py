"""What is known of one job at a moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.job import events as e
from assistant.core.job.ledger import Ledger
from assistant.core.job.timer import Timer
from assistant.core.quantities.units import Amount, Level, Value


@dataclass(frozen=True, slots=True)
class TakenReading:
    """A reading that counts."""

    step: str
    name: str
    value: Value
    adds: bool
    at: datetime
    removes: bool = False
    of: str = ""
    """The fluid of which it tells how much there is."""


@dataclass(frozen=True, slots=True)
class Said:
    """Something that the person said and may take back, and how long the way was where they said it."""

    event: (
        e.EvidenceGiven
        | e.GatePassed
        | e.ReadingTaken
        | e.ChoiceMade
        | e.ValueTold
        | e.ValueUnknown
        | e.ConditionChanged
        | e.NewShown
        | e.StepDone
        | e.VehicleTaken
        | e.VehicleDeclined
    )
    depth: int


@dataclass(frozen=True, slots=True)
class State:
    """All that is known of one job."""

    procedure: Procedure
    vehicle: Vehicle
    opened_at: datetime
    step: str = ""
    path: tuple[str, ...] = ()
    """The steps that led here, the present one last: the way back."""
    told: Mapping[str, Spec] = field(default_factory=dict)
    """Values that the owner told during the job."""
    unknown: frozenset[str] = frozenset()
    """Values that the owner does not know, and without which the job goes on."""
    offered: Vehicle | None = None
    """The vehicle as its file is now, where that says other values and nobody has said which ones to go by."""
    declined: Vehicle | None = None
    """The same, where the owner chose to stay with the old ones."""
    vehicle_before: Vehicle | None = None
    """By which vehicle the job went before new values were taken."""
    tools: Mapping[str, Amount] = field(default_factory=dict)
    """How long the wrench and its adapter are, as far as the person told it."""
    choices: tuple[tuple[str, str], ...] = ()
    """What was chosen, each name with its option; of one name the last counts."""
    evidence: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """What was answered to which challenge of which gate, since the gate last fell."""
    shown: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """What was last answered to which challenge, also where its gate fell since: what was found was found."""
    gates: tuple[str, ...] = ()
    """The gates that stand now."""
    conditions: frozenset[str] = frozenset()
    """What holds of the car."""
    unsure: frozenset[str] = frozenset()
    """What may hold of it or not."""
    forgotten: frozenset[str] = frozenset()
    """Of that, what is unsure only because the record lost its end: nobody has said anything of it since."""
    shaken: frozenset[str] = frozenset()
    """What made the car safe before somebody said that it is not, and has not ended since: where it does not hold, it
    has to be brought about again."""
    begun: bool = False
    """Whether the person was told to do the present step, with nothing left to be asked before it."""
    ledger: Ledger = field(default_factory=Ledger)
    readings: tuple[TakenReading, ...] = ()
    torques: Mapping[str, Amount] = field(default_factory=dict)
    angles: Mapping[str, Amount] = field(default_factory=dict)
    """By how much parts were turned further after their torque."""
    turning: bool = False
    """Whether the part of the present step got its torque there, and is to be turned further."""
    renewed: frozenset[str] = frozenset()
    """The parts that are closed, or about to be, with what the person said is new."""
    pending: e.ClaimHeard | None = None
    """What waits to be confirmed by name."""
    doubted: str = ""
    """The value told by the owner that they called wrong, and that is asked for anew."""
    aside: tuple[e.AsideAsked, ...] = ()
    """What was asked beside the job, the question that is open last; empty where nothing is."""
    said: tuple[Said, ...] = ()
    """What "that was wrong" would take back, the newest last."""
    timers: tuple[Timer, ...] = ()
    drained: frozenset[str] = frozenset()
    """The fluids that ran out."""
    parked: bool = False
    paused: bool = False
    """Whether the person told it not to listen; times and care for someone alone go on."""
    out: bool = False
    """Whether the person said at this step that they are out from under the car."""
    stopping: e.StopCalled | None = None
    """Why the job is about to be stopped, until that is confirmed or taken back."""
    stopped: e.JobStopped | None = None
    """Why the job was stopped before all was done."""
    finished_at: datetime | None = None
    heard_at: datetime | None = None
    """When the person was last heard."""
    check_in: int = 0
    asked_at: datetime | None = None
    """When they were last asked whether all is well, and have not been heard since."""
    calling: bool = False
    """Whether they called for help, and did not yet say that all is well."""
    label: str = ""
    """What the owner calls the job; empty where they gave it no name."""
    put_away: bool = False
    """Whether the job is not to be offered."""
    lost: e.TailLost | None = None
    """What the record of the job lost, until the job is taken up again."""
    events: int = 0
    derived: dict[str, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """What was worked out from this state, kept so that it is worked out once. A new state begins without."""
    worked: dict[Any, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """The values that were worked out. A new state keeps them, but where something changed that they may rest on."""

    @property
    def here(self) -> Step:
        """The step that the person is at."""
        return self.procedure.step(self.step)

    @property
    def possible(self) -> frozenset[str]:
        """Return what may hold of the car."""
        return self.conditions | self.unsure

    def spec(self, name: str) -> Spec | None:
        """Return a value of the vehicle, from its file or as the owner told it; None where it is missing."""
        return self.vehicle.values.get(name) or self.told.get(name)

    def last(self, name: str) -> TakenReading | None:
        """Return the newest reading of that name that counts."""
        return next((reading for reading in reversed(self.readings) if reading.name == name), None)

    def level(self, fluid: str) -> Level | None:
        """Return how a fluid stood at its marks when it was last read; None where it was not."""
        levels = (reading.value for reading in reversed(self.readings) if reading.of == fluid)
        return next((value for value in levels if isinstance(value, Level)), None)
