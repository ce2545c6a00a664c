"""Which of the jobs that travel with the program are for which of its vehicles."""

from __future__ import annotations

from assistant.adapters.library import Library
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle

_SHELF = Library()


def vehicles_for(job: Procedure) -> tuple[Vehicle, ...]:
    """Return the vehicles that a job is for."""
    return tuple(vehicle for vehicle in _SHELF.vehicles() if not job.unfit(vehicle))


FITTING = tuple((job, vehicle) for job in _SHELF.jobs() for vehicle in vehicles_for(job))
"""Every job with each vehicle that it is for."""
NAMES = [f"{job.id}-{vehicle.id}" for job, vehicle in FITTING]
