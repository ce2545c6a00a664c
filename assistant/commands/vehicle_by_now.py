"""The vehicle's file as it is when a job is taken up: does it say other values, and can they be used?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from assistant import wiring
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job.vehicle_file import differing, shown_differences, with_new_values
from assistant.core.job.vehicle_values import check_all, check_vehicle
from assistant.shelf import Job, Note

WRONG_FILE = "The vehicle's file is wrong now. I keep the old values. See the screen."
OTHER_CAR = "The vehicle's file says otherwise how the car is built. That counts in a new job."


@dataclass(frozen=True, slots=True)
class ByNow:
    """What is to be said of the file, and the vehicle in it; none where it can't be used, or is not known."""

    warnings: tuple[str, ...] = ()
    car: Vehicle | None = None


def file_by_now(data: Path, job: Job, named: str | None, note: Note) -> ByNow:
    """Return what the vehicle's file says now; `note` is told which values differ, or why it can't be used.

    Of a vehicle whose file neither lies where the program looks nor is named, nothing can be told.
    """
    state = job.state
    try:
        car = _found(data, state.vehicle.id, named, note)
        if car and differing(state.procedure, state.vehicle, car):
            new = with_new_values(state.vehicle, car)
            check_vehicle(state.procedure, new, wiring.library(data).tables())
            check_all(state.procedure, new, state.told)
            note(f"note: the vehicle's file has changed: {shown_differences(state.procedure, state.vehicle, car)}")
    except (DataError, ReadingError) as error:
        note(f"note: {error}. The job goes on by the values that it began with")
        return ByNow((WRONG_FILE,))
    other = car and (set(car.tags) != set(state.vehicle.tags) or car.units != state.vehicle.units)
    return ByNow((OTHER_CAR,) if other else (), car)


def _found(data: Path, name: str, named: str | None, note: Note) -> Vehicle | None:
    """Return the vehicle of that name by its file; DataError where that may be one of those that are wrong."""
    shelf, wrong = wiring.library(data), list[DataError]()
    cars = [shelf.vehicle(named)] if named else shelf.vehicles(wrong.append)
    found = next((one for one in cars if one.id == name), None)
    if not found and wrong:
        raise wrong[0]
    return found
