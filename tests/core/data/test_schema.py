"""The schemas for editors fit every file that travels with the program, and no file with a slip in it."""

from __future__ import annotations

from typing import Any

import pytest
from jsonschema import Draft202012Validator

from assistant.adapters.library import data_folder, read_yaml
from assistant.core.data.schema import KINDS, SchemaKind, schema

FILES = [(kind, path) for kind in KINDS for path in sorted((data_folder("procedures") / f"{kind}s").glob("*.yaml"))]
CHECKS = {kind: Draft202012Validator(schema(kind)) for kind in KINDS}
STEP = {"id": "a", "title": "A", "where": "bench", "say": "Do it.", "why": "So."}
JOB = {"format": 2, "id": "job", "title": "Job", "about": "Invented."}


def faults(kind: SchemaKind, data: Any) -> list[str]:
    return [fault.message for fault in CHECKS[kind].iter_errors(data)]


@pytest.mark.parametrize(("kind", "path"), FILES, ids=lambda one: getattr(one, "stem", one))
def test_every_file_fits_the_schema_of_its_kind(kind: SchemaKind, path: Any) -> None:
    Draft202012Validator.check_schema(schema(kind))
    assert not faults(kind, read_yaml(path))


def test_each_kind_has_files() -> None:
    assert {kind for kind, _ in FILES} == {*KINDS}


def test_the_short_form_fits() -> None:
    loop = {"for_each": "wheels", "as": "wheel", "steps": [{**STEP, "id": "a-{wheel}", "where": "{place}"}]}
    tighten = {**STEP, "tighten": {"part": "nut-{wheel}", "stages": ["half", "full"]}}
    assert not faults("job", {**JOB, "steps": [loop, {"use": "up", "with": {"end": 1}, "when": ["x"]}, tighten]})
    part = {"for_each": [{"id": "a", "name": "b"}], "as": "w", "id": "nut-{w}", "name": "{w.name}"}
    assert not faults("job", {**JOB, "steps": [STEP], "parts": [part], "include": [{"use": "engine"}]})


SLIPS: dict[str, tuple[SchemaKind, Any, str]] = {
    "no format": ("job", {key: one for key, one in JOB.items() if key != "format"} | {"steps": [STEP]}, "'format' is"),
    "another format": ("job", {**JOB, "format": 1, "steps": [STEP]}, "2 was expected"),
    "an unknown field of a step": ("job", {**JOB, "steps": [{**STEP, "sya": "x"}]}, "'sya' was unexpected"),
    "an unknown place": ("job", {**JOB, "steps": [{**STEP, "where": "roof"}]}, "'roof' is not valid"),
    "a use with an id": ("job", {**JOB, "steps": [{"use": "up", "id": "a"}]}, "'id' was unexpected"),
    "a loop without a name": ("job", {**JOB, "steps": [{"for_each": "w", "steps": []}]}, "'as' is a required"),
    "a bare number": ("vehicle", {"values": {"mass": {"value": 5, "source": "made up"}}}, "5 is not of type 'string'"),
    "a group that has a title": ("group", {"format": 2, "group": "a", "about": "b", "title": "c"}, "'title' was unex"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*SLIPS])
def test_a_slip_does_not_fit(name: str) -> None:
    kind, data, said = SLIPS[name]
    assert any(said in fault for fault in faults(kind, data)), faults(kind, data)
