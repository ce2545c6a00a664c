"""The jobs in a journal: begins one, finds the unfinished one, collects what was told in all. Prints nothing.

A job that another version of the program wrote may not be readable. It is left out, and that is said: nothing else
may fail because of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from assistant.core import events as e
from assistant.core.compute.calculation import Row
from assistant.core.engine import open_job
from assistant.core.errors import Bug, DataError, ReadingError
from assistant.core.procedure import Procedure, Spec, Vehicle
from assistant.core.readings import check_all, check_vehicle
from assistant.core.state import State, fold
from assistant.core.told import KINDS, Told, told_in
from assistant.ports import Clock, Journal

Note = Callable[[str], None]
"""Is told what was left out."""

_UNREADABLE = (DataError, Bug, LookupError, ValueError)
"""What a job of another version may raise when it is read or its state is worked out."""


@dataclass(frozen=True, slots=True)
class Job:
    """A job in the journal, with its state."""

    name: str
    state: State


def nobody(text: str) -> None:
    """Take a note that nobody needs."""


def once(note: Note) -> Note:
    """Return what hands each note on the first time only."""
    said: set[str] = set()

    def first(text: str) -> None:
        if text not in said:
            said.add(text)
            note(text)

    return first


def rows_of(store: Journal, name: str, note: Note = nobody, *kinds: type[e.Event]) -> tuple[e.Recorded, ...]:
    """Return the facts of a job, of some kinds or of all; none where it can't be read, which is noted."""
    try:
        return store.read(name, *kinds)
    except _UNREADABLE:
        _left_out(name, note)
        return ()


def _left_out(name: str, note: Note) -> None:
    note(f"note: the job {name} is left out: it can't be read; another version of this program wrote it")


def read_job(store: Journal, name: str, note: Note = nobody) -> Job | None:
    """Return a job with its state; None where it can't be read, which is noted."""
    try:
        return Job(name, fold(store.read(name)))
    except _UNREADABLE:
        _left_out(name, note)
        return None


def unfinished(store: Journal, note: Note = nobody) -> Job | None:
    """Return the newest job that has not ended, of those that can be read."""
    for name in reversed(store.jobs()):
        job = read_job(store, name, note)
        if job and not job.state.finished_at:
            return job
    return None


def all_told(store: Journal, note: Note = nobody) -> tuple[Told, ...]:
    """Return what the owner told of all vehicles, in all jobs."""
    return told_in(rows_of(store, name, note, *KINDS) for name in store.jobs())


def told(store: Journal, vehicle: str, note: Note = nobody) -> dict[str, Spec]:
    """Return what the owner told of a vehicle and did not take back, in all jobs."""
    return {one.name: one.spec for one in all_told(store, note) if one.vehicle == vehicle}


def newest_of(store: Journal, vehicle: str, note: Note = nobody) -> str | None:
    """Return the name of the newest job of a vehicle; None where there is none.

    Where the beginning of a job can't be read, what was told in it says whose it is.
    """
    for name in reversed(store.jobs()):
        opened = [row.event for row in rows_of(store, name, note, e.JobOpened)]
        facts = [row.event for row in rows_of(store, name, note, *KINDS)]
        vehicles = {fact.vehicle.id for fact in opened if isinstance(fact, e.JobOpened)}
        vehicles |= {fact.vehicle for fact in facts if isinstance(fact, e.ValueTold | e.ValueWithdrawn)}
        if vehicle in vehicles:
            return name
    return None


def new_job(
    store: Journal,
    procedure: Procedure,
    vehicle: Vehicle,
    clock: Clock,
    tables: Mapping[str, Sequence[Row]],
    note: Note = nobody,
) -> tuple[Job, tuple[e.Recorded, ...]]:
    """Begin a job; what the owner told of the vehicle in earlier jobs is known in this one, but its file goes before.

    DataError where a value, of the file or told, can't be right.
    """
    at = clock.now()
    name = f"{at:%Y-%m-%dT%H-%M-%S}-{procedure.id}"
    taken = store.jobs()
    while name in taken:
        name += "-again"
    check_vehicle(procedure, vehicle, tables)
    known = {
        value: spec
        for value, spec in told(store, vehicle.id, note).items()
        if value in procedure.values and value not in vehicle.values
    }
    _check_told(procedure, vehicle, known, tables)
    _check_all(procedure, vehicle, known)
    rows = store.append(name, open_job(procedure, vehicle, at, told=known), at)
    return Job(name, fold(rows)), rows


def _check_told(
    procedure: Procedure, vehicle: Vehicle, known: Mapping[str, Spec], tables: Mapping[str, Sequence[Row]]
) -> None:
    for name, spec in known.items():
        try:
            check_vehicle(procedure, vehicle.model_copy(update={"values": {name: spec}}), tables)
        except DataError as error:
            mend = f"assistant told --vehicle {vehicle.id} --name {name} --set VALUE"
            raise DataError(f"{error} You told it in an earlier job. Put it right with: {mend}") from error


def _check_all(procedure: Procedure, vehicle: Vehicle, known: Mapping[str, Spec]) -> None:
    try:
        check_all(procedure, vehicle, known)
    except ReadingError as error:
        mend = f" Put it right with: assistant told --vehicle {vehicle.id}" if known else ""
        raise DataError(f"vehicle {vehicle.id}: {error}. {error.say}{mend}", say=error.say) from error
