"""What a job promises where it leaves its straight way, with a book of its own: stopped jobs, rounds, refused answers.

It is kept from the facts alone, as `promises.py` does it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

from assistant.core.data.car import EXPOSED, Where
from assistant.core.data.gate import Option
from assistant.core.data.step import Step
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.alone import ALARM
from assistant.core.job.bands import bands_of
from assistant.core.job.state import State

Names = frozenset[str]
_NOTHING: Names = frozenset()
_BACK_IN = (e.StepEntered, e.StepReopened, e.Resumed, e.StopDropped)
"""Facts after which somebody may be under the car again."""


@dataclass(frozen=True, slots=True)
class Leaving:
    """What matters where a car is left before all is done."""

    out: bool = False
    """Whether the person said at this step that they are out from under the car."""
    sure: Names = _NOTHING
    """Of the conditions that safe ends ask for: those that surely hold."""
    maybe: Names = _NOTHING
    """Of the conditions with which the car must not be left: those that may hold."""

    def noted(self, state: State, event: e.Event) -> Leaving:
        """Return the book after one more fact, which meets the job in a state."""
        ends = state.procedure.safe_ends
        if not ends:
            return self
        out = isinstance(event, e.CameOut) or (self.out and not isinstance(event, _BACK_IN))
        begin, end, unsure = _changed_by(state, event)
        may = frozenset({event.condition} if isinstance(event, e.ConditionChanged) and event.holds else ())
        sure, maybe = (self.sure | begin) - end - unsure, (self.maybe | begin | unsure | may) - end
        holds = {name for one in ends for name in one.holds}
        never = {name for one in ends for name in one.never}
        return Leaving(out, sure & holds, maybe & never)


def _changed_by(state: State, event: e.Event) -> tuple[Names, Names, Names]:
    """Return which conditions surely begin with a fact, which surely end, and which are no longer sure."""
    match event:
        case e.StepBegun(step):
            hazards = {one.id for one in state.procedure.conditions if one.hazard}
            found = state.procedure.step(step)
            return _NOTHING, _NOTHING, frozenset((hazards & {*found.sets}) | ({*found.ends} - hazards))
        case e.StepDone(step):
            found = state.procedure.step(step)
            return frozenset(found.sets), frozenset(found.ends), _NOTHING
        case e.EvidenceGiven(gate, ask):
            found_ask = next(one for one in state.procedure.gate(gate).asks if one.id == ask)
            return frozenset(found_ask.sets), frozenset(found_ask.ends), _NOTHING
        case e.ConditionChanged(name, holds, said) if said or not holds:
            begins, ends, unsure = (frozenset({name} if holds is how else ()) for how in (True, False, None))
            return begins, ends, unsure
        case e.TailLost():
            return _NOTHING, _NOTHING, frozenset(one.id for one in state.procedure.conditions)
        case _:
            return _NOTHING, _NOTHING, _NOTHING


def broken_by_control(state: State, leaving: Leaving, new: Names, event: e.Event) -> Iterator[str]:
    """Yield what a fact breaks that meets the job in a state, beside what `promises.py` says."""
    match event:
        case e.JobStopped(end):
            yield from _broken_by_stop(state, leaving, end)
        case e.PartClosed(part) if (once := state.procedure.part(part).once) and part not in new:
            yield f"closed {part} without a word that {once} is new"
        case e.StepEntered(step) if state.step and state.here.repeat:
            yield from _broken_by_round(state, state.here, step)
        case e.StepDone(step):
            stops = {name for name, band in bands_of(state).items() if band.stop}
            read = state.procedure.step(step).reading
            if read and read.name in stops:
                yield f"went on at {step} though the reading {read.name} stops the job"
        case e.CheckedIn(level) if state.here.where is Where.DRIVE and level < ALARM and not state.calling:
            yield f"asked whether all is well while the car moves, at {state.step}"
        case _:
            yield from _broken_by_answer(state, event)


def _broken_by_stop(state: State, leaving: Leaving, end: str) -> Iterator[str]:
    found = state.procedure.end(end)
    if state.here.where in EXPOSED and not leaving.out:
        yield f"stopped at {state.step} with somebody under the car"
    if lacking := sorted({*found.holds} - leaving.sure):
        yield f"stopped by {end} though {', '.join(lacking)} does not surely hold"
    if left := sorted(leaving.maybe.intersection(found.never)):
        yield f"stopped by {end} though {', '.join(left)} may hold"


def _broken_by_answer(state: State, event: e.Event) -> Iterator[str]:
    """Yield an answer that leads on though it stops the job, or is to be asked for again."""
    options: tuple[Option, ...] = ()
    if isinstance(event, e.ChoiceMade) and state.here.choice:
        options = tuple(one for one in state.here.choice.options if one.id == event.option)
    elif isinstance(event, e.EvidenceGiven):
        ask = next(one for one in state.procedure.gate(event.gate).asks if one.id == event.ask)
        options = tuple(one for one in ask.options if one.show == event.answer)
    for option in options:
        if option.refuse:
            how = "stops the job" if option.stop else "is asked for again" if option.again else "is refused"
            yield f"went on at {state.step} with {option.id}, which {how}"


def _broken_by_round(state: State, step: Step, target: str) -> Iterator[str]:
    """Yield a round too many, and a way on though it is not yet so."""
    repeat = step.repeat
    if repeat is None or state.parked or known.tags(state).issuperset(repeat.until):
        return
    order = {one.id: place for place, one in enumerate(state.procedure.steps)}
    first, last, out = order[repeat.to], order[step.id], order[repeat.out]
    if first <= order[target] <= last:
        way = list(takewhile(lambda name: first <= order[name] <= last, reversed(state.path)))
        if way.count(step.id) >= repeat.most:
            yield f"went more than {repeat.most} rounds to {step.id}"
    elif order[target] < out:
        yield f"went on from {step.id} to {target} though not all of {', '.join(repeat.until)} is so"
