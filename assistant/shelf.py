"""The jobs in a journal: begins one, takes one up, follows one, collects what was told in all. Prints nothing.

A job that another version of the program wrote may not be readable. It is left out, and that is said: nothing else
may fail because of it. A job whose record is damaged goes on from what can be believed of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from assistant.core.compute.base.calculation import Row
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.errors import Bug, Busy, DataError, DeviceError, ReadingError
from assistant.core.job import events as e
from assistant.core.job.chain import Damage
from assistant.core.job.engine import open_job
from assistant.core.job.state import State, evolve, fold
from assistant.core.job.told import KINDS, Told, told_in
from assistant.core.job.vehicle_file import differing
from assistant.core.job.vehicle_values import check_all, check_needed, check_vehicle
from assistant.core.job.which_job import Offer, called
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


def read_job(store: Journal, name: str, note: Note = nobody, *, finished: bool = True) -> Job | None:
    """Return a job with its state, as far as it can be believed; None where it can't be read, which is noted.

    Without `finished`, None also where it is: its state is not worked out then, and most jobs are.
    """
    try:
        rows = store.read(name)
        if not finished and any(isinstance(row.event, e.ENDS) for row in rows):
            return None
        state, _ = _as_far(rows)
    except _UNREADABLE:
        damage = store.damage(name)
        note(f"note: the job {name} is left out: {damage}") if damage else _left_out(name, note)
        return None
    return Job(name, state)


def _as_far(rows: Sequence[e.Recorded]) -> tuple[State, int]:
    """Return the state that facts tell, and how many do: one that does not follow from those before it ends that."""
    state = fold(rows[:1])
    for kept, row in enumerate(rows[1:], 1):
        try:
            state = evolve(state, row.event, row.at)
        except _UNREADABLE:
            return state, kept
    return state, len(rows)


def take_up(store: Journal, name: str, clock: Clock, note: Note = nobody) -> Job:
    """Hold a job for writing, and return it; Busy where another run has it open.

    Where its end can't be believed, that is kept aside and noted, and `TailLost` goes on from the rest. DataError where
    nothing of it can be believed.
    """
    if name not in store.jobs():
        raise DataError(f"there is no job {name!r} in {store.where}. List them with: assistant journal")
    store.hold(name)
    try:
        rows, damage = store.read(name), store.damage(name)
        state, kept = _as_far(rows)
    except _UNREADABLE as error:
        damage = store.damage(name)
        raise DataError(f"the job {name} can't be taken up: {damage or error}. Begin it anew") from error
    if kept < len(rows):
        damage = Damage(name, kept + 1, "it does not follow from those before it", len(rows) - kept)
    if damage:
        note(f"note: {damage}. What follows is kept aside in {store.where}; the job goes on from before it")
        at, lost = clock.now(), e.TailLost(damage.lost, damage.why)
        store.set_aside(name, kept, (lost,), at)
        state = evolve(state, lost, at)
    return Job(name, state)


def compare(store: Journal, job: Job, car: Vehicle, clock: Clock) -> Job:
    """Return a job that was taken up, with what its vehicle's file says now: other values are offered to the owner."""
    state = job.state
    fact: e.Event | None = None
    if not differing(state.procedure, state.vehicle, car):
        fact = e.VehicleDeclined() if state.offered else None  # the file is again as it was
    elif car not in (state.offered, state.declined):
        fact = e.VehicleOffered(car)
    if fact is None:
        return job
    at = clock.now()
    store.append(job.name, (fact,), at)
    return Job(job.name, evolve(state, fact, at))


MOST_FAULTS = 20
"""So often in a row a journal that is followed may not be readable, while somebody writes it."""


def follow(store: Journal, name: str, wait: Callable[[], None], note: Note = nobody) -> Iterator[e.Recorded]:
    """Yield the facts of a job, those that are there and each that comes, until it is finished, is gone, or can't be
    believed; DeviceError where the journal can't be read any more."""
    seen = faults = 0
    while True:
        try:
            rows, damage, faults = store.read(name), store.damage(name), 0
        except DeviceError:  # somebody writes just now
            faults += 1
            if faults > MOST_FAULTS:
                raise
            wait()
            continue
        yield from rows[seen:]
        if len(rows) < seen and not damage:
            note(f"note: the job {name} is gone from the journal")
            return
        seen = len(rows)
        if damage:
            note(f"note: {damage}")
        if damage or any(isinstance(row.event, e.ENDS) for row in rows):
            return
        wait()


def offered(store: Journal, note: Note = nobody) -> list[Job]:
    """Return the jobs that are unfinished and not put away, the one heard last first."""
    return [job for job in readable(store, note, finished=False) if not job.state.put_away]


def readable(store: Journal, note: Note = nobody, *, finished: bool = True) -> list[Job]:
    """Return the jobs that can be read, the one heard last first; without `finished` only the unfinished ones."""
    every = (read_job(store, name, note, finished=finished) for name in store.jobs())
    found = [job for job in every if job]
    return sorted(found, key=lambda job: (job.state.heard_at or job.state.opened_at).timestamp(), reverse=True)


def offer_of(job: Job) -> Offer:
    """Return a job as it is offered."""
    state = job.state
    return Offer(job.name, state.procedure.title, state.vehicle.title, state.here.title, state.label)


def the_one(jobs: Sequence[Job], words: str | None) -> Job:
    """Return the job that words call; DataError where none is called, or several are."""
    if not words:
        raise DataError("say which job. List them with: assistant jobs")
    found = called([offer_of(job) for job in jobs], words)
    if len(found) == 1:
        return next(job for job in jobs if job.name == found[0].name)
    if not found:
        raise DataError(f"no job is called {words!r}. List them with: assistant jobs list --all")
    names = "; ".join(f"{one.name} ({one.title})" for one in found)
    raise DataError(f"{words!r} calls {len(found)} jobs: {names}. Say more of it")


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
    check_vehicle(procedure, vehicle, tables)
    known = {
        value: spec
        for value, spec in _told_before(store, vehicle.id, note).items()
        if value in procedure.values and value not in vehicle.values
    }
    _check_told(procedure, vehicle, known, tables)
    check_needed(procedure, vehicle, known)
    _check_all(procedure, vehicle, known)
    name = _free_name(store, f"{at:%Y-%m-%dT%H-%M-%S}-{procedure.id}")
    rows = store.append(name, open_job(procedure, vehicle, at, told=known), at)
    return Job(name, fold(rows)), rows


def _told_before(store: Journal, vehicle: str, note: Note) -> dict[str, Spec]:
    """Return what was told in earlier jobs; nothing where the journal can't be read: it is asked for again."""
    try:
        return told(store, vehicle, note)
    except DeviceError as error:
        note(f"note: {error}")
        return {}


def _free_name(store: Journal, name: str) -> str:
    """Return a name that no job has, held for writing: another run may begin one in the same second."""
    while not _held_new(store, name):
        name += "-again"
    return name


def _held_new(store: Journal, name: str) -> bool:
    try:
        store.hold(name)
    except Busy:
        return False
    return not (store.read(name) or store.damage(name))


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
