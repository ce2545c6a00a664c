"""What the owner told of their vehicles: lists it, puts it right, forgets it. Prints nothing.

Nothing is changed in the journal: a new fact in the newest job of the vehicle, and in each that is unfinished, says
what holds from now on.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.core.amounts.reader import read_amount
from assistant.core.data.procedure import Procedure, Wanted
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job import events as e
from assistant.core.job.told import Told
from assistant.core.job.vehicle_values import check_all, check_wanted
from assistant.core.quantities.units import SYMBOLS, Amount, write_amount
from assistant.ports import Journal
from assistant.shelf import Job, Note, all_told, newest_of, once, read_job, readable


@dataclass(frozen=True, slots=True)
class Request:
    """What the command line asks for; without a value and without forgetting, what was told is listed."""

    vehicle: str | None = None
    name: str | None = None
    set: str | None = None
    forget: bool = False


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Do what the options ask for with what was told, and return the exit code."""
    asked = Request(options.vehicle, options.name, options.set, options.forget)
    return told(data, asked, as_json=options.json, show=show, note=note)


def told(data: Path, asked: Request, *, as_json: bool, show: Callable[[str], None], note: Note) -> int:
    """List what was told, put one value right, or forget it, and return the exit code."""
    note = once(note)
    if asked.set is None and not asked.forget:
        records = listed(data, asked.vehicle, asked.name, note)
        text = "\n".join(map(line, records)) or "Nothing was told."
        show(json.dumps(records, ensure_ascii=False) if as_json else text)
        return 0
    if not asked.vehicle or not asked.name:
        raise DataError("say which value, with --vehicle VEHICLE --name NAME. List them with: assistant told")
    if asked.set is None:
        record = forget(data, asked.vehicle, asked.name, note)
    else:
        record = put_right(data, asked.vehicle, asked.name, asked.set, note)
    show(json.dumps(record, ensure_ascii=False) if as_json else line(record))
    return 0


def listed(data: Path, vehicle: str | None, name: str | None, note: Note) -> list[dict[str, Any]]:
    """Return what was told and not taken back, JSON-ready; of one vehicle or value only where they are named.

    DataError for a vehicle that nobody knows.
    """
    store = wiring.journal(data)
    known = all_told(store, note)
    if vehicle and vehicle not in {one.vehicle for one in known}:
        vehicle = wiring.library(data).vehicle(vehicle).id
    return [_record(one) for one in known if (not vehicle or one.vehicle == vehicle) and (not name or one.name == name)]


def _record(one: Told) -> dict[str, Any]:
    return {
        "vehicle": one.vehicle,
        "name": one.name,
        "value": f"{one.spec.value.magnitude:f}",
        "unit": SYMBOLS[one.spec.value.unit],
        "source": one.spec.source,
        "day": f"{one.at:%Y-%m-%d}",
        "job": one.job,
    }


def line(record: Mapping[str, Any]) -> str:
    """Return one value that was told, for the eye."""
    told = f"{record['value']} {record['unit']}, {record['source']}" if record["value"] else "forgotten"
    return f"{record['vehicle']}, {record['name']}: {told} (on {record['day']}, in the job {record['job']})"


@dataclass(frozen=True, slots=True)
class _Case:
    """A value of a vehicle that is to be put right or forgotten."""

    store: Journal
    vehicle: Vehicle
    name: str
    procedures: tuple[Procedure, ...]
    """All that want such a value."""
    before: Told | None
    """What is believed now."""
    job: str
    """The newest job of the vehicle, to which the new fact is added."""
    unfinished: tuple[Job, ...]
    """Its unfinished jobs that want such a value, and do not have it from the vehicle's file: they learn of it, too."""

    @property
    def wanted(self) -> tuple[Wanted, ...]:
        return tuple(procedure.values[self.name] for procedure in self.procedures)

    @property
    def called(self) -> str:
        return f"the {self.wanted[0].name} of {self.vehicle.id}"


def put_right(data: Path, vehicle: str, name: str, text: str, note: Note) -> dict[str, Any]:
    """Believe another value from now on, and return it as `listed` does; DataError where it can't be right."""
    case = _case(data, vehicle, name, note)
    if case.name in case.vehicle.values:
        raise DataError(
            f"{case.called} stands in the vehicle's file, which goes before what is told: put it right there. "
            f"Each new job goes by the file{_asking(case, note)}"
        )
    value = _checked(case, text)
    clock = wiring.SystemClock()
    source = f"told by the owner, {clock.now():%Y-%m-%d}"
    return _written(case, Spec(value=value, source=source), note)


def forget(data: Path, vehicle: str, name: str, note: Note) -> dict[str, Any]:
    """Believe a value no longer: the next job that needs it asks for it."""
    case = _case(data, vehicle, name, note)
    if not case.before:
        raise DataError(f"nobody has told {case.called}: there is nothing to forget. See: assistant told")
    return _written(case, None, note)


def _case(data: Path, vehicle: str, name: str, note: Note) -> _Case:
    shelf, store = wiring.library(data), wiring.journal(data)
    car, jobs = shelf.vehicle(vehicle), shelf.jobs()
    procedures = tuple(procedure for procedure in jobs if name in procedure.values)
    if not procedures:
        raise DataError(_unknown(name, dict.fromkeys(value for procedure in jobs for value in procedure.values)))
    job = newest_of(store, car.id, note)
    if job is None:
        raise DataError(f"no job was done on {car.id}, so nothing was told of it: put the value in the vehicle's file")
    before = next((one for one in all_told(store, note) if (one.vehicle, one.name) == (car.id, name)), None)
    going_on = tuple(one for one in _unfinished(store, car.id, note) if _learns(one, name))
    return _Case(store, car, name, procedures, before, job, going_on)


def _asking(case: _Case, note: Note) -> str:
    """Return that unfinished jobs ask which values to go by, where there are any."""
    names = ", ".join(one.name for one in _unfinished(case.store, case.vehicle.id, note))
    return f"; what is unfinished ({names}) tells what has changed when it is taken up, and asks" if names else ""


def _unfinished(store: Journal, vehicle: str, note: Note) -> list[Job]:
    return [one for one in readable(store, note, finished=False) if one.state.vehicle.id == vehicle]


def _learns(job: Job, name: str) -> bool:
    """Return whether a job goes by what is told under a name: where its vehicle's file has it, that goes before."""
    return name in job.state.procedure.values and name not in job.state.vehicle.values


def _unknown(name: str, known: Iterable[str]) -> str:
    near = get_close_matches(name, known, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    return f"no job wants a value {name!r}.{hint} There are: {', '.join(known)}."


def _checked(case: _Case, text: str) -> Amount:
    """Return a value as it was typed, held against what every job that wants it allows."""
    try:
        value = read_amount(text, case.wanted[0].kind, case.vehicle.units)
        for wanted in case.wanted:
            check_wanted(value, wanted)
        told = {one.name: one.spec for one in all_told(case.store) if one.vehicle == case.vehicle.id}
        for procedure in case.procedures:
            check_all(procedure, case.vehicle, {**told, case.name: Spec(value=value, source="told by the owner")})
    except ReadingError as error:
        raise DataError(f"{case.called}: {error}. {case.wanted[0].find}") from error
    return value


def _written(case: _Case, spec: Spec | None, note: Note) -> dict[str, Any]:
    """Add the fact to the newest job and to the unfinished ones, all or none, and note what that changes."""
    _warn(case, spec, note)
    now = wiring.SystemClock().now()
    at = max(now, case.before.at) if case.before else now  # the time of a typed job may be ahead
    told: e.Event = (
        e.ValueTold(case.vehicle.id, case.name, spec) if spec else e.ValueWithdrawn(case.vehicle.id, case.name)
    )
    names = tuple(dict.fromkeys((case.job, *(one.name for one in case.unfinished))))
    for name in names:
        case.store.hold(name)  # Busy here, before anything is written
    for name in names:
        case.store.append(name, (told,), at)
    if case.unfinished:
        note(f"note: {_follows(case, spec)}")
    if spec:
        return _record(Told(case.vehicle.id, case.name, spec, at, case.job))
    gone = {"value": None, "unit": None, "source": None, "day": f"{at:%Y-%m-%d}", "job": case.job}
    return {"vehicle": case.vehicle.id, "name": case.name, **gone}


def _follows(case: _Case, spec: Spec | None) -> str:
    """Return in one sentence what becomes of the unfinished jobs, and of the next."""
    several = len(case.unfinished) > 1
    which = f"the unfinished job{'s' if several else ''} {_names(case)}"
    does = (
        f"{'go' if several else 'goes'} by {write_amount(spec.value)}"
        if spec
        else f"ask{'' if several else 's'} for it"
    )
    when = "when they are taken up" if several else "when it is taken up"
    return f"{which} {does} {when}, and so does each new job. Take up with: assistant run --resume NAME"


def _names(case: _Case) -> str:
    return ", ".join(one.name for one in case.unfinished)


def _warn(case: _Case, spec: Spec | None, note: Note) -> None:
    """Note a part that was tightened by the old value; DataError in a job that can still lead back to it.

    Going back there has consequences that only the job itself sees.
    """
    newest = read_job(case.store, case.job)
    jobs = {one.name: one for one in (*case.unfinished, *([newest] if newest else []))}
    for job in jobs.values():
        state = job.state
        if not (state.finished_at or _learns(job, case.name)):
            continue
        parts = [part for part in state.procedure.parts if part.torque == case.name and part.id in state.torques]
        for part in parts:
            tightened = f"{part.name} was tightened to {write_amount(state.torques[part.id])} in the job {job.name}"
            if not state.finished_at:
                said = f"the {case.wanted[0].name} is wrong"
                raise DataError(f"{tightened}, which is unfinished. Go on with it, and say there: {said}")
            if not spec or spec.value != state.torques[part.id]:
                note(f"note: {tightened}. Tighten it anew")
