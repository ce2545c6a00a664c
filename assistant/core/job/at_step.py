"""Holds how a job looks at one of its steps, as if nothing had been done before. Never a job that somebody does."""

from __future__ import annotations

from datetime import datetime
from functools import reduce

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError
from assistant.core.job import events as e
from assistant.core.job.engine import open_job
from assistant.core.job.state import State, evolve, opening


def state_at(procedure: Procedure, vehicle: Vehicle, step: str, at: datetime) -> State:
    """Return the state of a job that was opened and led to a step; DataError for another step names all."""
    known = [one.id for one in procedure.steps]
    if step not in known:
        message = f"there is no step {step!r} in {procedure.id}. There are: {', '.join(known)}."
        raise DataError(message, say="There is no such step. See the screen.")
    facts = [*open_job(procedure, vehicle, at)[1:], e.StepEntered(step)]
    return reduce(lambda state, fact: evolve(state, fact, at), facts, opening(e.JobOpened(procedure, vehicle), at))
