"""What is said to lead somebody out of danger, and of a job that is stopped before all is done."""

from __future__ import annotations

from assistant.core.data.car import Where
from assistant.core.job import events as e
from assistant.core.job.state import State


def come_out(state: State) -> str:
    """Return how to get out of where a car that comes down would hurt, and what to say then."""
    arch = state.here.where is Where.ARCH
    how = "Take your arms out of the wheel arch." if arch else f"Come out from under {state.vehicle.called}."
    return f"{how} Then say: I am out."


def where_help(state: State) -> str:
    """Return where somebody may need help: "under the car"."""
    return f"{'under' if state.here.where is Where.UNDER else 'with'} {state.vehicle.called}"


def stop_called(before: State, event: e.StopCalled, after: State) -> str:
    """Return why the job does not go on, and what becomes of the car; of a reading it was just said what it means."""
    say = after.procedure.end(event.end).say
    return say if event.reading else f"{event.reason} {say}"


def stop_dropped(before: State, event: e.StopDropped, after: State) -> str:
    """Return that the job goes on after all."""
    return f"Taken back: {after.procedure.end(event.end).name}."


def stopped(before: State, event: e.JobStopped, after: State) -> str:
    """Return how the job ended, and what stays open."""
    still = ", ".join(part.name for part in after.ledger.open_in(after.procedure))
    left = f"Still open: {still}." if still else "Nothing is open."
    return f"The job is stopped: {after.procedure.end(event.end).name}. {left} It is kept in the report."


def over(state: State) -> str:
    """Return that a job is over, and how it ended."""
    return f"The job is {'stopped' if state.stopped else 'finished'}."
