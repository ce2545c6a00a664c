"""What an owner puts right in a vehicle's file by command: what that is, and whether it can be right. Reads no file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from assistant.core.amounts.reader import read_amount
from assistant.core.car_talk.file_text import scalar
from assistant.core.car_talk.wanted import groups_of
from assistant.core.compute.base.calculation import Row
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Note, Spec, System, Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.job.vehicle_values import check_all, check_values, check_wanted
from assistant.core.quantities.units import Kind, write_amount

WORDS = ("title", "about", "units")
"""Fields of a vehicle that hold words, without a source."""
LONGEST = 200
"""So long may a text be that is set by command [letter]."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to stand in the file."""

    name: str
    value: str | None = None
    source: str | None = None
    thread: str | None = None
    strength: str | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """What changes in a file, and the vehicle that comes of it."""

    vehicle: Vehicle
    section: str
    """The key in the file: `values`, `notes`, `tags`, or one of `WORDS`."""
    name: str
    fields: Mapping[str, str] = field(default_factory=dict)
    """The fields of an entry as they are written; of a word its text, under its own name."""
    gone: tuple[str, ...] = ()
    """What is taken out of the section."""


@dataclass(frozen=True, slots=True)
class Around:
    """What a change is held against."""

    jobs: tuple[Procedure, ...]
    told: Mapping[str, Spec]
    """What was told of the vehicle in jobs."""
    tables: Mapping[str, Sequence[Row]]

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags that jobs ask for."""
        return tuple(tag for group in groups_of(self.jobs).values() for tag in group.tags)

    @property
    def notes(self) -> tuple[str, ...]:
        """The names of the notes that jobs speak of."""
        return tuple(dict.fromkeys(name for job in self.jobs for name in job.notes))

    @property
    def values(self) -> tuple[str, ...]:
        """The names of the values that jobs want."""
        return tuple(dict.fromkeys(name for job in self.jobs for name in job.values))


def change(vehicle: Vehicle, wish: Wish, around: Around) -> Change:
    """Return what a wish changes; DataError where it can't be right, alone or beside the other values."""
    for text in (wish.name, wish.value, wish.source, wish.thread, wish.strength):
        if text is not None and not (text.isprintable() and len(text) <= LONGEST):
            raise DataError(f"that is too long, or no text in one line: {text[:40]!r}")
    found = _change(vehicle, wish, around)
    _refuse_new_faults(vehicle, found.vehicle, around)
    return found


def _change(vehicle: Vehicle, wish: Wish, around: Around) -> Change:
    name = wish.name
    tag = f"{name}:{wish.value}" if wish.value and f"{name}:{wish.value}" in around.tags else name
    if tag in around.tags:
        return _tag(vehicle, tag, around)
    if not (wish.value or "").strip():
        raise DataError(f"say what {name!r} is to be")
    if name in WORDS:
        return _word(vehicle, name, (wish.value or "").strip())
    if name in around.values or name in vehicle.values:
        return _value(vehicle, wish, around)
    if name in around.notes or name in vehicle.notes:
        return _note(vehicle, wish)
    known = (*around.values, *around.notes, *around.tags, *WORDS)
    near = get_close_matches(name, known, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    raise DataError(f"no job wants {name!r}.{hint} There are: {', '.join(known)}.")


def _tag(vehicle: Vehicle, tag: str, around: Around) -> Change:
    group = next(one for one in groups_of(around.jobs).values() if tag in one.tags)
    gone = tuple(one for one in vehicle.tags if one in group.tags and one != tag)
    tags = (*(one for one in vehicle.tags if one not in (*gone, tag)), tag)
    fields = {} if tag in vehicle.tags else {tag: scalar(tag)}
    return Change(_with(vehicle, tags=tags), "tags", tag, fields, gone)


def _word(vehicle: Vehicle, name: str, text: str) -> Change:
    if name == "units" and text not in tuple(System):
        raise DataError(f"{text!r} is no system of units: choose {', '.join(System)}")
    changed = System(text) if name == "units" else text
    return Change(_with(vehicle, **{name: changed}), name, name, {name: scalar(text)})


def _value(vehicle: Vehicle, wish: Wish, around: Around) -> Change:
    """Return a value in the place of an older one; what is not said of its bolt stays."""
    name, before = wish.name, vehicle.values.get(wish.name)
    wanted = [job.values[name] for job in around.jobs if name in job.values]
    try:
        kind: Kind | None = wanted[0].kind if wanted else None
        value = read_amount(wish.value or "", kind, vehicle.units)
        for one in wanted:
            check_wanted(value, one)
    except ReadingError as error:
        raise DataError(f"{name}: {error}. {wanted[0].find if wanted else ''}".strip()) from error
    bolt = {"thread": wish.thread, "strength": wish.strength}
    older = {"thread": before.thread, "strength": before.strength} if before else {}
    own = {one: text for one, text in bolt.items() if text}
    spec = Spec(**{"value": value, "source": _source(wish), **older, **own})
    fields = {"value": write_amount(value), **{one: scalar(text) for one, text in own.items()}}
    fields["source"] = scalar(spec.source)
    return Change(_with(vehicle, values=vehicle.values | {name: spec}), "values", name, fields)


def _note(vehicle: Vehicle, wish: Wish) -> Change:
    note = Note(say=(wish.value or "").strip(), source=_source(wish))
    fields = {"say": scalar(note.say), "source": scalar(note.source)}
    return Change(_with(vehicle, notes=vehicle.notes | {wish.name: note}), "notes", wish.name, fields)


def _source(wish: Wish) -> str:
    source = (wish.source or "").strip()
    if len(source) < 3:
        raise DataError('say where it stands, for instance with: --source "service manual, page 12"')
    return source


def forgotten(vehicle: Vehicle, name: str) -> Change:
    """Return what changes where a value, a note or a tag is taken out; DataError where there is none."""
    if name in vehicle.tags:
        return Change(_with(vehicle, tags=tuple(tag for tag in vehicle.tags if tag != name)), "tags", name, {}, (name,))
    for section in ("values", "notes"):
        kept: dict[str, Any] = getattr(vehicle, section)
        if name in kept:
            rest = {one: kept[one] for one in kept if one != name}
            return Change(_with(vehicle, **{section: rest}), section, name, {}, (name,))
    known = ", ".join((*vehicle.values, *vehicle.notes, *vehicle.tags)) or "nothing"
    raise DataError(f"the file of {vehicle.id} says nothing of {name!r}. It has: {known}.")


def _with(vehicle: Vehicle, **changed: object) -> Vehicle:
    return vehicle.model_copy(update=changed)


def _refuse_new_faults(before: Vehicle, after: Vehicle, around: Around) -> None:
    """Raise DataError for a job that accepted the vehicle and would not any more: a file may be mended by steps."""
    for job in around.jobs:
        fault = fault_of(job, after, around)
        if fault and not fault_of(job, before, around):
            raise DataError(fault)


def fault_of(job: Procedure, vehicle: Vehicle, around: Around) -> str:
    """Return why the values of a vehicle can't all be right for a job; empty where they can."""
    told = {name: spec for name, spec in around.told.items() if name in job.values and name not in vehicle.values}
    try:
        check_values(job, vehicle, around.tables)
        check_all(job, vehicle, told)
    except DataError as error:
        return str(error)
    except ReadingError as error:
        return f"vehicle {vehicle.id}: {error}. {error.say}"
    return ""
