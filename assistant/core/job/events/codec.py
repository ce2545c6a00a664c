"""The one codec of facts: an event as JSON and back, also of older forms, and as a line for the eye."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import datetime
from typing import Any

from pydantic import TypeAdapter, ValidationError

from assistant.core.data.vehicle import Spec
from assistant.core.errors import DataError
from assistant.core.job.events.job import JobOpened
from assistant.core.job.events.kinds import KINDS, Event
from assistant.core.job.events.talk import LeftAlone, NotUnderstood
from assistant.core.job.events.values import VehicleOffered, VehicleTaken
from assistant.core.job.older_forms import FORM, lift, without
from assistant.core.quantities.units import Level

_ADAPTERS: dict[str, TypeAdapter[Any]] = {name: TypeAdapter(kind) for name, kind in KINDS.items()}


def without_words(event: Event) -> Event:
    """Return an event as it is kept: that something was said is a fact, but not what people said to each other."""
    return replace(event, heard="") if isinstance(event, NotUnderstood | LeftAlone) else event


def encode(event: Event) -> tuple[str, str]:
    """Return an event as the name of its kind and a JSON object."""
    kind = type(event)
    body = _ADAPTERS[kind.__name__].dump_python(event, mode="json")
    return kind.__name__, json.dumps(body, ensure_ascii=False, separators=(",", ":"))


def decode(kind: str, body: str, form: int = FORM) -> Event:
    """Return the event of that kind, JSON object and form; DataError where they do not fit.

    Older forms are lifted, and fields that nobody knows any more are passed over.
    """
    if form < FORM:
        kind, body = lift(kind, body, form)
    if form > FORM or kind not in KINDS:
        raise DataError(f"the journal holds an event of the unknown kind {kind!r}: use a newer program to read it")
    try:
        event: Event = _read(_ADAPTERS[kind], body)
    except ValueError as error:
        raise DataError(f"the journal holds a {kind} that cannot be read: {error}") from error
    return event


def _read(adapter: TypeAdapter[Any], body: str) -> Any:
    try:
        return adapter.validate_json(body)
    except ValidationError as error:
        unknown = [one["loc"] for one in error.errors() if one["type"] == "extra_forbidden"]
        if not unknown:
            raise
        return adapter.validate_json(json.dumps(without(json.loads(body), unknown)))


def describe(event: Event) -> str:
    """Return one line for the eye: the kind and its plain fields."""
    if isinstance(event, JobOpened):
        return f"JobOpened procedure={event.procedure.id} vehicle={event.vehicle.id}"
    if isinstance(event, VehicleOffered | VehicleTaken):
        values = " ".join(f"{name}={_plain(spec)}" for name, spec in event.vehicle.values.items())
        return f"{type(event).__name__} vehicle={event.vehicle.id} {values}"
    parts = (f"{field.name}={_plain(getattr(event, field.name))}" for field in fields(event))
    return " ".join((type(event).__name__, *parts))


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, Spec):
        return f"{value.value.magnitude} {value.value.unit} ({value.source})"
    if hasattr(value, "magnitude"):
        return f"{value.magnitude} {value.unit}"
    return value.said if isinstance(value, Level) else str(value)
