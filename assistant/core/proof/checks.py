"""What is wrong with a procedure beyond its form, found before a job begins: braces, names, and phrases.

A job in the journal is never held against this: it has to go on, whatever version wrote it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from assistant.core.data.base import names_in
from assistant.core.data.procedure import Procedure
from assistant.core.data.short_form.places import Place as Place
from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import SPECIAL, Rules, parse_expansion, references
from assistant.core.job.findings import VERDICT
from assistant.core.job.worked import reading_names
from assistant.core.proof.control_checks import faults_of_control
from assistant.core.proof.measures import fault_of_bound, faults_of_computed, faults_of_measured

_PHRASES = ("says", "done")
"""Fields that hold phrases; all others hold texts."""
_SHOWN = "value"
"""The name that stands for the number in what is read back."""


def faults_of(procedure: Procedure, rules: Rules) -> Iterator[tuple[Place, str]]:
    """Yield each fault with its place: a brace that names nothing, a name that nobody knows, a phrase that is none."""
    yield from texts_wrong(procedure)
    yield from phrases_wrong(procedure, rules)
    yield from values_unasked(procedure)
    yield from faults_of_computed(procedure)
    yield from faults_of_measured(procedure)
    yield from faults_of_control(procedure)


def texts_wrong(procedure: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield the texts with a brace that is not closed, or that names nothing."""
    known = {*procedure.values, *procedure.notes, *procedure.computed, *reading_names(procedure), VERDICT}
    for place, text in _texts(procedure, ()):
        field = _field(place)
        if field in _PHRASES:
            continue
        if fault := _fault_of_text(text, known | ({_SHOWN} if field == "show" else set())):
            yield place, fault


def phrases_in(procedure: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield each phrase that is written in a procedure, with its place."""
    return ((place, text) for place, text in _texts(procedure, ()) if _field(place) in _PHRASES)


def phrases_wrong(procedure: Procedure, rules: Rules) -> Iterator[tuple[Place, str]]:
    """Yield the phrases that can't be read."""
    for place, text in phrases_in(procedure):
        if fault := _fault_of_phrase(text, rules):
            yield place, fault


def _field(place: Place) -> str:
    return next(key for key in reversed(place) if isinstance(key, str))


def _texts(item: Any, place: Place) -> Iterator[tuple[Place, str]]:
    if isinstance(item, str):
        yield place, item
    elif isinstance(item, BaseModel):
        for name in type(item).model_fields:
            yield from _texts(getattr(item, name), (*place, name))
    elif isinstance(item, tuple):
        for number, one in enumerate(item):
            yield from _texts(one, (*place, number))
    elif isinstance(item, dict):
        for name, one in item.items():
            yield from _texts(one, (*place, name))


def _fault_of_text(text: str, known: set[str]) -> str:
    names = names_in(text)
    rest = text
    for name in names:
        rest = rest.replace("{" + name + "}", "", 1)
    if "{" in rest or "}" in rest:
        return f"a brace is not closed, or closes nothing, in {_short(text)}: a name stands between {{ and }}"
    if unknown := next((name for name in names if name not in known), None):
        return f"{{{unknown}}} is no value, no note, and not computed: write it into `values` or `notes`"
    return ""


def _fault_of_phrase(text: str, rules: Rules) -> str:
    try:
        node = parse_expansion(text)
    except DataError as error:
        return f"the phrase can't be read: {error}"
    known = {*rules, *SPECIAL}
    if unknown := next((name for name in references(node) if name not in known), None):
        return f"the phrase {_short(text)} refers to <{unknown}>; there are {', '.join(f'<{name}>' for name in rules)}"
    return ""


def values_unasked(job: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield the values by which something is measured and that nobody could be asked for."""
    wanted: list[tuple[Place, str]] = [
        (("parts", number, "torque"), part.torque) for number, part in enumerate(job.parts) if part.torque
    ]
    for place, name in wanted:
        if name not in job.values:
            yield place, f"{name!r} is not among the `values`, so nobody could be asked for it"
    for gate_number, gate in enumerate(job.gates):
        for number, ask in enumerate(gate.asks):
            for field in ("least", "most", "equal"):
                if fault := fault_of_bound(job, ask.kind, getattr(ask, field)):
                    yield ("gates", gate_number, "asks", number, field), fault


def _short(text: str) -> str:
    return repr(text if len(text) <= 60 else f"{text[:57]}...")
