"""What facts of the way through a job change: steps, choices, times."""

from __future__ import annotations

from datetime import datetime

from assistant.core.job import events as e
from assistant.core.job.state.changing import Change, but, not_asked_again, said, unsaid
from assistant.core.job.state.state import Said, State
from assistant.core.job.timer import Timer


def _step_entered(state: State, event: e.StepEntered, at: datetime) -> State:
    path = state.path if state.path[-1:] == (event.step,) else (*state.path, event.step)
    timers = tuple(timer for timer in state.timers if timer.step == event.step)  # led away from a wait, it is over
    return but(state, step=event.step, path=path, pending=None, begun=False, out=False, timers=timers, turning=False)


def _step_begun(state: State, event: e.StepBegun, at: datetime) -> State:
    return but(state, begun=True)


def _step_left(state: State, event: e.StepDone | e.StepSkipped, at: datetime) -> State:
    left = but(
        state, pending=None, turning=False, timers=tuple(timer for timer in state.timers if timer.step != event.step)
    )
    told = [entry.event for entry in state.said if entry.depth == len(state.path)]
    answered = any(isinstance(one, e.ReadingTaken | e.ChoiceMade) for one in told)
    return left if answered or isinstance(event, e.StepSkipped) else said(left, event)


def _step_reopened(state: State, event: e.StepReopened, at: datetime) -> State:
    path = state.path[: place_of(state.path, event) + 1]
    return but(
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


def _choice_made(state: State, event: e.ChoiceMade, at: datetime) -> State:
    return said(but(not_asked_again(state), choices=(*state.choices, (event.name, event.option))), event)


def _choice_withdrawn(state: State, event: e.ChoiceWithdrawn, at: datetime) -> State:
    place = max((index for index, (name, _) in enumerate(state.choices) if name == event.name), default=None)
    if place is None:
        return state
    without = but(state, choices=(*state.choices[:place], *state.choices[place + 1 :]))
    return unsaid(without, lambda one: isinstance(one, e.ChoiceMade) and one.name == event.name)


def _timer_started(state: State, event: e.TimerStarted, at: datetime) -> State:
    others = tuple(timer for timer in state.timers if timer.name != event.name)
    return but(state, timers=(*others, Timer(event.name, event.due, event.minutes)))


def _timer_ended(state: State, event: e.TimerEnded, at: datetime) -> State:
    running = tuple(timer for timer in state.timers if timer.name != event.name)
    return but(state, timers=running)


CHANGES: dict[type[e.Event], Change] = {
    e.StepEntered: _step_entered,
    e.StepBegun: _step_begun,
    e.StepDone: _step_left,
    e.StepSkipped: _step_left,
    e.StepReopened: _step_reopened,
    e.ChoiceMade: _choice_made,
    e.ChoiceWithdrawn: _choice_withdrawn,
    e.TimerStarted: _timer_started,
    e.TimerEnded: _timer_ended,
}
