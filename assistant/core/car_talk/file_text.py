"""The file of a vehicle as text: how it is written the first time, and how texts stand in it. Reads no file."""

from __future__ import annotations

import json
import re

from assistant.core.data.vehicle import Note, Spec, Vehicle
from assistant.core.quantities.units import write_amount

_BARE = re.compile(r"[A-Za-z]+(?: [A-Za-z0-9·/.'-]+)+|[a-z][a-z0-9]*(?:[-:][a-z0-9]+)+")
"""Texts that need no quotes, in braces too: two words at least, for one may mean yes, no or nothing to YAML; or a name
with a dash or a colon."""


def scalar(text: str) -> str:
    """Return a text as it stands in a file, in quotes where it needs them."""
    if _BARE.fullmatch(text):
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return "".join(sign if sign.isprintable() else f"\\U{ord(sign):08x}" for sign in quoted)


def spec_text(spec: Spec) -> str:
    """Return a value with its source as it stands in a file."""
    bolt = f", thread: {scalar(spec.thread)}" if spec.thread else ""
    bolt += f", strength: {scalar(spec.strength)}" if spec.thread and spec.strength != "8.8" else ""
    return f"{{value: {write_amount(spec.value)}{bolt}, source: {scalar(spec.source)}}}"


def note_text(note: Note) -> str:
    """Return a note with its source as it stands in a file."""
    return f"{{say: {scalar(note.say)}, source: {scalar(note.source)}}}"


def file_text(vehicle: Vehicle) -> str:
    """Return the whole file of a vehicle that is new."""
    tags = ", ".join(scalar(tag) for tag in vehicle.tags)
    lines = [
        "# Written by: assistant vehicle new. Put it right here, or with: assistant vehicle set. The format is",
        "# described in procedures/README.md, under: A vehicle. What is told in jobs is kept by the id: let it be.",
        f"id: {scalar(vehicle.id)}",
        f"title: {scalar(vehicle.title)}",
        f"about: {scalar(vehicle.about)}",
        f"units: {vehicle.units}",
        f"tags: [{tags}]",
        "values:" if vehicle.values else "values: {}",
        *(f"  {name}: {spec_text(spec)}" for name, spec in vehicle.values.items()),
        "notes:" if vehicle.notes else "notes: {}",
        *(f"  {name}: {note_text(note)}" for name, note in vehicle.notes.items()),
    ]
    return "\n".join(lines) + "\n"
