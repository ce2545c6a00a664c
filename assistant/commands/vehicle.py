"""The command `vehicle`: lists vehicles, reads one back, puts one right. Prints nothing itself."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.commands.new_vehicle import NewVehicle
from assistant.core.car_talk import words
from assistant.core.car_talk.changing import Around, Change, Wish, change, forgotten
from assistant.core.car_talk.wanted import Readiness, groups_of, readiness
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.errors import DataError
from assistant.core.job.told import Told
from assistant.core.quantities.saying import say_amount
from assistant.core.quantities.units import SYMBOLS, write_amount
from assistant.shelf import Note, all_told, once
from assistant.system.ending import USAGE

Show = Callable[[str], None]
PATIENCE = 10.0
"""So long another run may be at the vehicles before this one gives up [second]; it takes a fraction of one."""


def command(options: argparse.Namespace, data: Path, show: Show, note: Note) -> int:
    """Do what was asked for, and return the exit code."""
    note = once(note)
    if options.action == "new":
        with wiring.alone_at_vehicles(data, "new-vehicle", 0.0):  # two talks would write over one record
            return NewVehicle(options, data, show, note).go()
    if options.action == "list":
        return _list(options, data, show, note)
    if options.action == "show":
        return _show(options, data, show, note)
    with wiring.alone_at_vehicles(data, "vehicles", PATIENCE):  # from reading the file to writing it
        return _change(options, data, show, note)


@dataclass(frozen=True, slots=True)
class Case:
    """A vehicle, its file, and what it is held against."""

    file: Path
    vehicle: Vehicle
    around: Around
    told: tuple[Told, ...]
    """What was told of it in jobs, and not taken back."""

    @property
    def known(self) -> dict[str, Spec]:
        """The values that were told in jobs."""
        return {one.name: one.spec for one in self.told}


def _case(data: Path, name: str, note: Note) -> Case:
    shelf = wiring.library(data)
    file, car = shelf.vehicle_file(name), shelf.vehicle(name)
    store = (data / wiring.JOURNAL).exists()
    told = tuple(one for one in (all_told(wiring.journal(data), note) if store else ()) if one.vehicle == car.id)
    jobs = shelf.jobs(lambda error: note(f"left out: {error}"))
    return Case(file, car, Around(jobs, {one.name: one.spec for one in told}, shelf.tables()), told)


# --- list ---


def _list(options: argparse.Namespace, data: Path, show: Show, note: Note) -> int:
    shelf, found, faults = wiring.library(data), [], 0
    for file in shelf.vehicle_files():
        try:
            car = shelf.vehicle(str(file))
        except DataError as error:  # one id in two files among it
            faults += 1
            note(f"left out: {error}")
        else:
            found.append({"id": car.id, "title": car.title, "file": str(file)})
    if options.json:
        show(json.dumps(found, ensure_ascii=False))
    else:
        show("\n".join(f"{one['id']}: {one['title']} ({one['file']})" for one in found) or "There is no vehicle.")
    return USAGE if faults else 0


# --- show ---


def _show(options: argparse.Namespace, data: Path, show: Show, note: Note) -> int:
    case = _case(data, options.vehicle or _only(data), note)
    jobs = (wiring.library(data).job(options.job),) if options.job else case.around.jobs
    ready = [readiness(job, case.vehicle, _untold(case), case.around.tables) for job in jobs]
    show(json.dumps(_record(case, ready), ensure_ascii=False) if options.json else "\n".join(_lines(case, jobs, ready)))
    return 0


def _untold(case: Case) -> dict[str, Spec]:
    """Return what was told in jobs and counts: the file goes before."""
    return {name: spec for name, spec in case.known.items() if name not in case.vehicle.values}


def _only(data: Path) -> str:
    """Return the file of the owner's only vehicle; DataError where they have several, or none."""
    own = [file for file in wiring.library(data).vehicle_files() if not wiring.travels_with_the_program(file)]
    if len(own) == 1:
        return str(own[0])
    known = ", ".join(file.stem for file in wiring.library(data).vehicle_files())
    raise DataError(f"say which vehicle. There are: {known}. Describe your own with: assistant vehicle new")


def _lines(case: Case, jobs: tuple[Procedure, ...], ready: list[Readiness]) -> list[str]:
    car, names = case.vehicle, words.names_of(jobs)
    groups = [group.of(frozenset(car.tags)) for group in groups_of(jobs).values()]
    counts = {one.name for one in case.told} - set(car.values)
    return [
        f"{car.title} ({car.id}), in {words.UNITS[car.units]}. {car.about}",
        f"built: {', '.join(one.called for one in groups if one) or 'not told'}",
        *(_line(names.get(name, name), spec) for name, spec in car.values.items()),
        *(f"{name}: {note.say}; {note.source}" for name, note in car.notes.items()),
        *(
            f"told in a job, {_line(names.get(one.name, one.name), one.spec)}, in the job {one.job}"
            + ("" if one.name in counts else "; the file goes before")
            for one in case.told
        ),
        *(words.ready(one) for one in ready),
        f"file: {case.file}",
    ]


def _line(name: str, spec: Spec) -> str:
    bolt = f"; on {spec.thread} of {spec.strength}" if spec.thread else ""
    return f"{name}: {write_amount(spec.value)}, {say_amount(spec.value)}{bolt}; {spec.source}"


def _record(case: Case, ready: list[Readiness]) -> dict[str, Any]:
    car = case.vehicle
    return {
        "id": car.id,
        "title": car.title,
        "about": car.about,
        "units": str(car.units),
        "tags": list(car.tags),
        "values": {name: _spec_record(spec) for name, spec in car.values.items()},
        "notes": {name: {"say": note.say, "source": note.source} for name, note in car.notes.items()},
        "told": {one.name: _spec_record(one.spec) | {"job": one.job} for one in case.told},
        "jobs": [
            {"id": one.job.id, "ready": not one.fault, "fault": one.fault, "values": list(one.values),
             "notes": list(one.notes)} for one in ready
        ],
        "file": str(case.file),
    }  # fmt: skip


def _spec_record(spec: Spec) -> dict[str, str]:
    found = {"value": f"{spec.value.magnitude:f}", "unit": SYMBOLS[spec.value.unit], "source": spec.source}
    return found | ({"thread": spec.thread, "strength": spec.strength} if spec.thread else {})


# --- set, forget ---


def _change(options: argparse.Namespace, data: Path, show: Show, note: Note) -> int:
    case = _case(data, options.vehicle, note)
    if wiring.travels_with_the_program(case.file):
        raise DataError(
            f"{case.vehicle.id} travels with the program: copy {case.file} into {data / 'procedures' / 'vehicles'}, "
            "give it an id of your own, and put that one right"
        )
    if options.action == "forget":
        found = forgotten(case.vehicle, options.name)
    else:
        wish = Wish(options.name, options.value, options.source, options.thread, options.strength)
        found = change(case.vehicle, wish, case.around)
    if found.fields or found.gone:
        wiring.change_vehicle(case.file, found)
    record = _changed(case, found)
    show(json.dumps(record, ensure_ascii=False) if options.json else " ".join(f"{k}: {v}" for k, v in record.items()))
    if found.name in case.known:
        note(
            f"note: in jobs {write_amount(case.known[found.name].value)} was told; what stands in the file goes before"
        )
    return 0


def _changed(case: Case, found: Change) -> dict[str, Any]:
    """Return what stands in the file now, JSON-ready."""
    car, name = found.vehicle, found.name
    record: dict[str, Any] = {"vehicle": car.id, "name": name}
    if name in car.values:
        record |= _spec_record(car.values[name])
    elif name in car.notes:
        record |= {"say": car.notes[name].say, "source": car.notes[name].source}
    elif found.section == "tags":
        record |= {"tags": list(car.tags)}
    elif found.section == name:
        record |= {"value": str(getattr(car, name))}
    else:
        record |= {"value": None}
    return record | {"file": str(case.file)}
