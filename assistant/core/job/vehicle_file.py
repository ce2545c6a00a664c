"""What the vehicle's file says now, beside what it said when a job began: which values differ, and what taking them is.

A job goes by the file as it was; the owner may take the new values over into it. How the car is built (its tags) is not
taken: other steps would follow from it, and that needs a new job.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.quantities.saying import capital, say_amount
from assistant.core.quantities.units import Amount, write_amount

NEW_VALUES = "the new values"
"""The name by which new values are confirmed."""
KEEP_SAYS = ("keep [the] old values", "stay with [the] old values")
"""How one says that a job goes on by the values that it began with."""


def differing(procedure: Procedure, before: Vehicle, now: Vehicle) -> tuple[str, ...]:
    """Return the names of the values and notes that the job may speak of, and of which a file says something else."""
    values = [name for name in procedure.values if _amount(before.values.get(name)) != _amount(now.values.get(name))]
    said = [{name: note.say for name, note in one.notes.items()} for one in (before, now)]
    return (*values, *(name for name in procedure.notes if said[0].get(name) != said[1].get(name)))


def _amount(spec: Spec | None) -> Amount | None:
    return spec.value if spec else None


def with_new_values(before: Vehicle, now: Vehicle) -> Vehicle:
    """Return the vehicle of a job with the values and the notes of another file."""
    return before.model_copy(update={"values": now.values, "notes": now.notes})


def told_differences(procedure: Procedure, before: Vehicle, now: Vehicle) -> str:
    """Return what differs, in words for the ear."""
    return _listed([_spoken(procedure, before, now, name) for name in differing(procedure, before, now)])


def shown_differences(procedure: Procedure, before: Vehicle, now: Vehicle) -> str:
    """Return what differs, in figures for the eye."""
    return "; ".join(
        f"{name}: {_figures(before, name)} when the job began, {_figures(now, name)} now"
        for name in differing(procedure, before, now)
    )


def _listed(parts: Sequence[str]) -> str:
    return ". ".join(map(capital, parts))


def _spoken(procedure: Procedure, before: Vehicle, now: Vehicle, name: str) -> str:
    wanted = procedure.values.get(name)
    called = wanted.name if wanted else name.replace("-", " ")
    return f"{called}, now {_words(now, name)}, before {_words(before, name)}"


def _words(vehicle: Vehicle, name: str) -> str:
    if name in vehicle.values:
        return say_amount(vehicle.values[name].value)
    return vehicle.notes[name].say if name in vehicle.notes else "missing"


def _figures(vehicle: Vehicle, name: str) -> str:
    if name in vehicle.values:
        return write_amount(vehicle.values[name].value)
    return vehicle.notes[name].say if name in vehicle.notes else "missing"
