"""The state of a job: the fold of its events, and nothing else. Changed only by `evolve`, which is a pure function."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields
from datetime import datetime
from functools import reduce
from operator import attrgetter
from typing import Any

from assistant.core.data.procedure import Procedure, Spec, Step, Vehicle
from assistant.core.errors import Bug
from assistant.core.job import events as e
from assistant.core.job.ledger import Ledger
from assistant.core.job.timer import Timer
from assistant.core.quantities.units import Amount, Level, Value


@dataclass(frozen=True, slots=True)
class ReadingFact:
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
    begun: bool = False
    """Whether the person was told to do the present step, with nothing left to be asked before it."""
    ledger: Ledger = field(default_factory=Ledger)
    readings: tuple[ReadingFact, ...] = ()
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

    def last(self, name: str) -> ReadingFact | None:
        """Return the newest reading of that name that counts."""
        return next((fact for fact in reversed(self.readings) if fact.name == name), None)

    def level(self, fluid: str) -> Level | None:
        """Return how a fluid stood at its marks when it was last read; None where it was not."""
        levels = (fact.value for fact in reversed(self.readings) if fact.of == fluid)
        return next((value for value in levels if isinstance(value, Level)), None)


_NAMES = tuple(one.name for one in fields(State) if one.init)
_all_of = attrgetter(*_NAMES)
_PUTS = tuple(getattr(State, name).__set__ for name in _NAMES)  # a slot is written past the class that is frozen


_GIVEN = frozenset({"procedure", "vehicle", "opened_at", "told", "readings", "choices"})
"""What a computed value may rest on."""


def _but(state: State, **changes: Any) -> State:
    """Return a state like another one but for some fields: `dataclasses.replace` in a quarter of its time, which is
    most of what reading a job of thousands of facts takes."""
    new = object.__new__(State)
    for put, value in zip(_PUTS, _all_of(state), strict=True):
        put(new, value)
    for name, value in changes.items():
        object.__setattr__(new, name, value)
    object.__setattr__(new, "derived", {})
    object.__setattr__(new, "worked", {} if _GIVEN.intersection(changes) else state.worked)
    return new


def opening(event: e.JobOpened, at: datetime) -> State:
    """Return the state of a job that just began."""
    return State(procedure=event.procedure, vehicle=event.vehicle, opened_at=at, told=event.told, heard_at=at, events=1)


def evolve(state: State, event: e.Event, at: datetime) -> State:
    """Return the state after one more fact."""
    change = _CHANGES.get(type(event))
    changed = change(state, event, at) if change else state
    heard = state.heard_at if isinstance(event, _UNHEARD) else at
    check_in = event.level if isinstance(event, e.CheckedIn) else (0 if heard == at else state.check_in)
    asked_at = at if isinstance(event, e.CheckedIn) else (None if heard == at else state.asked_at)
    calling = changed.calling and not (isinstance(event, e.Asked) and event.topic == "here")
    return _but(changed, events=state.events + 1, heard_at=heard, check_in=check_in, asked_at=asked_at, calling=calling)


def fold(recorded: Iterable[e.Recorded]) -> State:
    """Return the state that a journal tells; Bug where it does not begin with the opening of a job."""
    rest = iter(recorded)
    first = next(rest, None)
    if first is None or not isinstance(first.event, e.JobOpened):
        raise Bug("a journal begins with the opening of its job")
    return reduce(lambda state, item: evolve(state, item.event, item.at), rest, opening(first.event, first.at))


_UNHEARD = (e.TimerEnded, e.CheckedIn, e.LeftAlone, e.NotUnderstood, e.HelpTried, e.TailLost, e.JobNamed, e.JobPutAway,
            e.VehicleOffered)  # fmt: skip
"""Facts that do not show that the person is well."""


def _step_entered(state: State, event: e.StepEntered, at: datetime) -> State:
    path = state.path if state.path[-1:] == (event.step,) else (*state.path, event.step)
    timers = tuple(timer for timer in state.timers if timer.step == event.step)  # led away from a wait, it is over
    return _but(state, step=event.step, path=path, pending=None, begun=False, out=False, timers=timers, turning=False)


def _step_begun(state: State, event: e.StepBegun, at: datetime) -> State:
    return _but(state, begun=True)


def _step_left(state: State, event: e.StepDone | e.StepSkipped, at: datetime) -> State:
    left = _but(
        state, pending=None, turning=False, timers=tuple(timer for timer in state.timers if timer.step != event.step)
    )
    told = [entry.event for entry in state.said if entry.depth == len(state.path)]
    answered = any(isinstance(one, e.ReadingTaken | e.ChoiceMade) for one in told)
    return left if answered or isinstance(event, e.StepSkipped) else _said(left, event)


def _said(state: State, event: Any) -> State:
    """Return the state with something that the person may take back."""
    return _but(state, said=(*state.said, Said(event, len(state.path))))


def _unsaid(state: State, last: Callable[[Any], bool]) -> State:
    """Return the state without the newest of what was said that fits."""
    place = max((index for index, entry in enumerate(state.said) if last(entry.event)), default=None)
    return state if place is None else _but(state, said=(*state.said[:place], *state.said[place + 1 :]))


def _step_reopened(state: State, event: e.StepReopened, at: datetime) -> State:
    path = state.path[: place_of(state.path, event) + 1]
    return _but(
        state,
        step=event.step,
        path=path,
        pending=None,
        begun=False,
        out=False,
        turning=False,
        renewed=state.renewed.difference(state.ledger.parts),  # what is not yet closed is asked for anew
        said=tuple(entry for entry in state.said if entry.depth < len(path) or _outlasts(entry)),
        timers=tuple(timer for timer in state.timers if timer.step not in (event.step, state.step)),
    )


def place_of(path: tuple[str, ...], event: e.StepReopened) -> int:
    """Return to which place of the way somebody went back."""
    return len(path) - 1 - path[::-1].index(event.step) if event.place is None else event.place


def _outlasts(entry: Said) -> bool:
    """Return whether going back leaves it standing: what is known of the vehicle and the car, and what was poured."""
    outlast = e.ValueTold | e.ValueUnknown | e.ConditionChanged | e.VehicleTaken | e.VehicleDeclined
    return isinstance(entry.event, outlast) or (
        isinstance(entry.event, e.ReadingTaken) and (entry.event.adds or entry.event.removes)
    )


def _with(mapping: Mapping[Any, Any], key: Any, value: Any) -> dict[Any, Any]:
    return {**mapping, key: value}


def _without(mapping: Mapping[Any, Any], unwanted: Callable[[Any], bool]) -> dict[Any, Any]:
    return {key: value for key, value in mapping.items() if not unwanted(key)}


def _choice_made(state: State, event: e.ChoiceMade, at: datetime) -> State:
    return _said(_but(_answered(state), choices=(*state.choices, (event.name, event.option))), event)


def _answered(state: State) -> State:
    """Return the state without a time after which it would be asked again."""
    return _but(state, timers=tuple(timer for timer in state.timers if not timer.again))


def _choice_withdrawn(state: State, event: e.ChoiceWithdrawn, at: datetime) -> State:
    place = max((index for index, (name, _) in enumerate(state.choices) if name == event.name), default=None)
    if place is None:
        return state
    without = _but(state, choices=(*state.choices[:place], *state.choices[place + 1 :]))
    return _unsaid(without, lambda one: isinstance(one, e.ChoiceMade) and one.name == event.name)


def _evidence_given(state: State, event: e.EvidenceGiven, at: datetime) -> State:
    key = (event.gate, event.ask)
    evidence, shown = (_with(known, key, event.answer) for known in (state.evidence, state.shown))
    return _said(_but(_answered(state), evidence=evidence, shown=shown), event)


def _evidence_withdrawn(state: State, event: e.EvidenceWithdrawn, at: datetime) -> State:
    key = (event.gate, event.ask)
    evidence = _without(state.evidence, lambda known: known == key)
    without = _but(state, evidence=evidence, shown=_without(state.shown, lambda known: known == key))
    return _unsaid(without, lambda one: isinstance(one, e.EvidenceGiven) and (one.gate, one.ask) == key)


def _gate_passed(state: State, event: e.GatePassed, at: datetime) -> State:
    return _said(_but(state, gates=(*state.gates, event.gate)), event)


def _gate_fell(state: State, event: e.GateFell, at: datetime) -> State:
    return _but(
        state,
        gates=tuple(gate for gate in state.gates if gate != event.gate),
        evidence=_without(state.evidence, lambda key: key[0] == event.gate),
        begun=state.begun and event.gate not in state.here.needs,  # what needs it is begun anew
        said=tuple(entry for entry in state.said if not _of_gate(entry, event.gate)),
    )


def _of_gate(entry: Said, gate: str) -> bool:
    return isinstance(entry.event, e.EvidenceGiven | e.GatePassed) and entry.event.gate == gate


def _claim_heard(state: State, event: e.ClaimHeard, at: datetime) -> State:
    return _but(state, pending=event)


def _claim_dropped(state: State, event: e.ClaimDropped, at: datetime) -> State:
    return _but(state, pending=None)


def _tool_measured(state: State, event: e.ToolMeasured, at: datetime) -> State:
    return _but(state, tools=_with(state.tools, event.tool, event.length))


def _value_told(state: State, event: e.ValueTold, at: datetime) -> State:
    told, unknown = _with(state.told, event.name, event.spec), state.unknown - {event.name}
    return _said(_but(state, told=told, unknown=unknown, pending=None, doubted=""), event)


def _value_unknown(state: State, event: e.ValueUnknown, at: datetime) -> State:
    return _said(_but(state, unknown=state.unknown | {event.name}, pending=None, doubted=""), event)


def _value_withdrawn(state: State, event: e.ValueWithdrawn, at: datetime) -> State:
    told = _without(state.told, lambda name: name == event.name)
    without = _but(state, told=told, unknown=state.unknown - {event.name}, doubted=event.name, pending=None)
    return _unsaid(without, lambda one: isinstance(one, e.ValueTold | e.ValueUnknown) and one.name == event.name)


def _vehicle_offered(state: State, event: e.VehicleOffered, at: datetime) -> State:
    offered = _but(state, offered=event.vehicle, declined=None)
    return _unsaid(offered, lambda one: isinstance(one, e.VehicleDeclined))


def _vehicle_taken(state: State, event: e.VehicleTaken, at: datetime) -> State:
    taken = _but(state, vehicle=event.vehicle, vehicle_before=state.vehicle, offered=None, declined=None)
    if event.taken_back:
        return _unsaid(taken, lambda one: isinstance(one, e.VehicleTaken))
    return _said(taken, event)


def _vehicle_declined(state: State, event: e.VehicleDeclined, at: datetime) -> State:
    return _said(_but(state, offered=None, declined=state.offered), event)


def _reading_taken(state: State, event: e.ReadingTaken, at: datetime) -> State:
    fact = ReadingFact(event.step, event.name, event.value, event.adds, at, event.removes, event.of)
    return _said(_but(state, readings=(*state.readings, fact)), event)


def _reading_withdrawn(state: State, event: e.ReadingWithdrawn, at: datetime) -> State:
    key = (event.step, event.name)
    for index in range(len(state.readings) - 1, -1, -1):
        fact = state.readings[index]
        if (fact.step, fact.name) == key:
            without = _but(state, readings=state.readings[:index] + state.readings[index + 1 :])
            return _unsaid(without, lambda one: isinstance(one, e.ReadingTaken) and (one.step, one.name) == key)
    return state


def _torque_given(state: State, event: e.TorqueGiven, at: datetime) -> State:
    tighten = state.here.tighten
    turning = tighten is not None and tighten.part == event.part and state.procedure.part(event.part).angle is not None
    return _but(state, torques=_with(state.torques, event.part, event.value), pending=None, turning=turning)


def _torque_withdrawn(state: State, event: e.TorqueWithdrawn, at: datetime) -> State:
    return _but(state, torques=_without(state.torques, lambda part: part == event.part), turning=False)


def _angle_given(state: State, event: e.AngleGiven, at: datetime) -> State:
    return _but(state, angles=_with(state.angles, event.part, event.value), pending=None, turning=False)


def _new_shown(state: State, event: e.NewShown, at: datetime) -> State:
    return _said(_but(state, renewed=state.renewed | {event.part}), event)


def _new_withdrawn(state: State, event: e.NewWithdrawn, at: datetime) -> State:
    return _unsaid(_but(state, renewed=state.renewed - {event.part}), lambda one: one == e.NewShown(event.part))


def _part_opened(state: State, event: e.PartOpened, at: datetime) -> State:
    return _but(
        state,
        ledger=state.ledger.opened(event.part),
        torques=_without(state.torques, lambda part: part == event.part),
        angles=_without(state.angles, lambda part: part == event.part),
        renewed=state.renewed - {event.part},
    )


def _part_closed(state: State, event: e.PartClosed, at: datetime) -> State:
    return _but(state, ledger=state.ledger.closed(event.part))


def _condition_changed(state: State, event: e.ConditionChanged, at: datetime) -> State:
    name = {event.condition}
    changed = _but(
        state,
        conditions=state.conditions | name if event.holds else state.conditions - name,
        unsure=state.unsure | name if event.holds is None else state.unsure - name,
        forgotten=state.forgotten - name,
    )
    earlier = tuple(entry for entry in state.said if not _of_condition(entry, event.condition))
    changed = _but(changed, said=earlier)  # of one condition the last word counts: taken back, it is unsure at once
    return _said(changed, event) if event.said else changed


def _of_condition(entry: Said, name: str) -> bool:
    return isinstance(entry.event, e.ConditionChanged) and entry.event.condition == name


def _drained(state: State, event: e.Drained, at: datetime) -> State:
    return _but(
        state,
        drained=state.drained | {event.fluid},
        readings=tuple(fact for fact in state.readings if not _of_fluid(fact, event.fluid)),
        said=tuple(entry for entry in state.said if not _of_fluid(entry.event, event.fluid)),
    )


def _of_fluid(one: Any, fluid: str) -> bool:
    """Return whether it is a reading of how much of a fluid there is: of no use once it ran out."""
    return isinstance(one, e.ReadingTaken | ReadingFact) and one.of == fluid


def _timer_started(state: State, event: e.TimerStarted, at: datetime) -> State:
    others = tuple(timer for timer in state.timers if timer.name != event.name)
    return _but(state, timers=(*others, Timer(event.name, event.due, event.minutes)))


def _timer_ended(state: State, event: e.TimerEnded, at: datetime) -> State:
    running = tuple(timer for timer in state.timers if timer.name != event.name)
    return _but(state, timers=running)


def _listening_paused(state: State, event: e.ListeningPaused, at: datetime) -> State:
    return _but(state, paused=True)


def _listening_resumed(state: State, event: e.ListeningResumed, at: datetime) -> State:
    return _but(state, paused=False)


def _parked(state: State, event: e.Parked, at: datetime) -> State:
    return _but(state, parked=True, paused=False, pending=None, aside=())


def _resumed(state: State, event: e.Resumed, at: datetime) -> State:
    return _but(state, parked=False, paused=False, pending=None, out=False, lost=None, put_away=False)


def _job_named(state: State, event: e.JobNamed, at: datetime) -> State:
    return _but(state, label=event.name)


def _job_put_away(state: State, event: e.JobPutAway, at: datetime) -> State:
    return _but(state, put_away=True)


def _tail_lost(state: State, event: e.TailLost, at: datetime) -> State:
    """Anything may have happened since: no permission stands, nothing of the car is sure, no word can be taken back."""
    return _but(
        state,
        gates=(),
        evidence={},
        conditions=frozenset(),
        unsure=frozenset(one.id for one in state.procedure.conditions),
        forgotten=frozenset(one.id for one in state.procedure.conditions),
        begun=False,
        turning=False,
        renewed=frozenset(),
        pending=None,
        doubted="",
        aside=(),
        said=(),
        out=False,
        lost=event,
    )


def _help_called(state: State, event: e.HelpCalled, at: datetime) -> State:
    return _but(state, calling=True, aside=())


def _danger_said(state: State, event: e.DangerSaid, at: datetime) -> State:
    """What is unsure from now on is so because the car is not safe."""
    return _but(state, aside=(), forgotten=frozenset())


def _aside_asked(state: State, event: e.AsideAsked, at: datetime) -> State:
    return _but(state, aside=(*state.aside, event))


def _aside_taken_back(state: State, event: e.AsideTakenBack, at: datetime) -> State:
    return _but(state, aside=state.aside[:-1])


def _aside_ended(state: State, event: e.AsideLeft | e.WorkedOut, at: datetime) -> State:
    return _but(state, aside=())


def _came_out(state: State, event: e.CameOut, at: datetime) -> State:
    return _but(state, out=True)


def _stop_called(state: State, event: e.StopCalled, at: datetime) -> State:
    return _but(state, stopping=event, pending=None)


def _stop_dropped(state: State, event: e.StopDropped, at: datetime) -> State:
    return _but(state, stopping=None, out=False)  # who goes on there is looked after again


def _job_stopped(state: State, event: e.JobStopped, at: datetime) -> State:
    return _but(state, stopping=None, stopped=event, finished_at=at, timers=())


def _job_finished(state: State, event: e.JobFinished, at: datetime) -> State:
    return _but(state, finished_at=at)


_CHANGES: dict[type[e.Event], Callable[[State, Any, datetime], State]] = {
    e.StepEntered: _step_entered,
    e.StepBegun: _step_begun,
    e.StepDone: _step_left,
    e.StepSkipped: _step_left,
    e.StepReopened: _step_reopened,
    e.ChoiceMade: _choice_made,
    e.ChoiceWithdrawn: _choice_withdrawn,
    e.EvidenceGiven: _evidence_given,
    e.EvidenceWithdrawn: _evidence_withdrawn,
    e.GatePassed: _gate_passed,
    e.GateFell: _gate_fell,
    e.ClaimHeard: _claim_heard,
    e.ClaimDropped: _claim_dropped,
    e.ToolMeasured: _tool_measured,
    e.ValueTold: _value_told,
    e.ValueUnknown: _value_unknown,
    e.ValueWithdrawn: _value_withdrawn,
    e.ReadingTaken: _reading_taken,
    e.ReadingWithdrawn: _reading_withdrawn,
    e.TorqueGiven: _torque_given,
    e.TorqueWithdrawn: _torque_withdrawn,
    e.AngleGiven: _angle_given,
    e.NewShown: _new_shown,
    e.NewWithdrawn: _new_withdrawn,
    e.PartOpened: _part_opened,
    e.PartClosed: _part_closed,
    e.ConditionChanged: _condition_changed,
    e.Drained: _drained,
    e.TimerStarted: _timer_started,
    e.TimerEnded: _timer_ended,
    e.ListeningPaused: _listening_paused,
    e.ListeningResumed: _listening_resumed,
    e.AsideAsked: _aside_asked,
    e.AsideTakenBack: _aside_taken_back,
    e.AsideLeft: _aside_ended,
    e.WorkedOut: _aside_ended,
    e.HelpCalled: _help_called,
    e.CameOut: _came_out,
    e.DangerSaid: _danger_said,
    e.Parked: _parked,
    e.Resumed: _resumed,
    e.JobNamed: _job_named,
    e.JobPutAway: _job_put_away,
    e.TailLost: _tail_lost,
    e.VehicleOffered: _vehicle_offered,
    e.VehicleTaken: _vehicle_taken,
    e.VehicleDeclined: _vehicle_declined,
    e.StopCalled: _stop_called,
    e.StopDropped: _stop_dropped,
    e.JobStopped: _job_stopped,
    e.JobFinished: _job_finished,
}
"""What each kind of fact changes; the kinds that are not here change nothing but the time of the last word."""
