"""JSON Schema of the files that people write, for editors: the models of the data, and what the short form adds.

It says less than the program checks: that names are known, and what can be right together, is no matter of form.
"""

from __future__ import annotations

from typing import Any, Literal, get_args

from pydantic import BaseModel

from assistant.core.data.procedure import Procedure
from assistant.core.data.short_form.merging import SECTIONS
from assistant.core.data.short_form.using import FORMAT, IN_GROUP
from assistant.core.data.vehicle import Vehicle

SchemaKind = Literal["job", "group", "vehicle"]
KINDS: tuple[SchemaKind, ...] = get_args(SchemaKind)
"""The kinds of files that have a schema, by the singular of their folder."""
_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_NAME = r"^[a-z][a-z0-9]*([-_:][a-z0-9]+)*$"
_NAME_OR_BRACES = r"^[a-z{][a-z0-9{}._:-]*$"
_AMOUNT = {"type": "string", "description": "An amount with its unit, as in 25 N·m."}
_BRACES = {"type": "string", "pattern": r"^\{[a-z][a-z0-9._-]*\}$"}
"""A parameter in the place of the whole value."""
_TAGS = {"type": "array", "items": {"type": "string"}}
_LOOP = {
    "for_each": {"type": ["string", "array"], "description": "The name of a list: once for each of its items."},
    "as": {"type": "string", "pattern": _NAME, "description": "The name of the item: {wheel}, {wheel.name}."},
}
_GIVEN = {"type": "object", "description": "What the parameters of the group stand for, by their names."}
_USE = {"use": {"type": "string", "description": "The name of a group."}, "with": _GIVEN}
_PARAMETER = {
    "type": ["string", "object"],
    "description": "What it is.",
    "properties": {"about": {"type": "string"}, "usual": {"description": "What it is where nothing is given."}},
    "additionalProperties": False,
    "required": ["about"],
}
_ITEM = {
    "type": "object",
    "properties": {"id": {"type": "string", "pattern": _NAME_OR_BRACES}, "name": {"type": "string"}},
    "required": ["id", "name"],
}


def schema(kind: SchemaKind) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a kind of file."""
    if kind == "vehicle":
        return _plain(Vehicle)
    job = _plain(Procedure)
    _add_short_form(job)
    return _group(job) if kind == "group" else job


def _plain(model: type[BaseModel]) -> dict[str, Any]:
    found = model.model_json_schema()
    if "Amount" in found["$defs"]:
        found["$defs"]["Amount"] = dict(_AMOUNT)
    return {"$schema": _DIALECT, **found}


def _add_short_form(job: dict[str, Any]) -> None:
    named = {name: one for name, one in job["$defs"].items() if name != "Amount" and "properties" in one}
    repeated = _repeated(job) - {"Step"}
    for name, one in named.items():
        one["properties"] = {key: _open(value) for key, value in one["properties"].items()}
        if name in repeated:
            one["properties"] |= _LOOP
            one["dependentRequired"] = {"for_each": ["as"]}
    if "Tighten" in named:
        named["Tighten"]["properties"]["stages"] = {"type": ["array", "string"], "minItems": 2}
    job["properties"] = {
        "format": {"const": FORMAT},
        **{key: _section(key, value) for key, value in job["properties"].items()},
        "include": {"type": "array", "items": _object(_USE, "use")},
        "with": _GIVEN,
        "lists": {"type": "object", "additionalProperties": {"type": ["array", "string"], "items": _ITEM}},
    }
    job["required"] = ["format", *job["required"]]
    job["$defs"]["StepUse"] = _object({**_USE, "when": _TAGS, "unless": _TAGS, "then": {"type": "string"}}, "use")
    job["$defs"]["StepLoop"] = _object({**_LOOP, "when": _TAGS, "unless": _TAGS, "steps": _steps()}, *_LOOP, "steps")


def _group(job: dict[str, Any]) -> dict[str, Any]:
    own = {
        "format": {"const": FORMAT},
        "group": {"type": "string", "pattern": _NAME, "description": "The name of its file."},
        "about": {"type": "string"},
        "parameters": {"type": "object", "additionalProperties": _PARAMETER},
    }
    shared = {key: job["properties"][key] for key in IN_GROUP if key in job["properties"] and key not in own}
    shared["steps"] = _steps()
    return {
        "$schema": _DIALECT,
        "title": "Group",
        "description": "What several jobs share.",
        "$defs": job["$defs"],
        **_object({**own, **shared}, "format", "group", "about"),
    }


def _object(properties: dict[str, Any], *required: str) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": [*required], "additionalProperties": False}


def _steps() -> dict[str, Any]:
    plain_or_loop = _either("for_each", "StepLoop", {"$ref": "#/$defs/Step"})
    return {"type": "array", "items": _either("use", "StepUse", plain_or_loop)}


def _either(field: str, name: str, other: dict[str, Any]) -> dict[str, Any]:
    """Return what holds for an entry by whether it has a field, so that its faults are told as what it is."""
    return {"if": {"type": "object", "required": [field]}, "then": {"$ref": f"#/$defs/{name}"}, "else": other}


def _section(key: str, value: dict[str, Any]) -> dict[str, Any]:
    if key == "steps":
        return _steps() | {"minItems": 1}
    if key in SECTIONS and "patternProperties" in value:
        (entry,) = value["patternProperties"].values()
        return {"type": "object", "patternProperties": {_NAME_OR_BRACES: entry}, "additionalProperties": False}
    return value


def _open(value: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a field in which names in braces may stand: in texts, or in the place of the whole."""
    if value.get("type") == "string":
        return {**value, "pattern": _NAME_OR_BRACES} if value.get("pattern") == _NAME else value
    if value.get("type") == "array":
        value = {**value, "items": _open(value["items"])} if "items" in value else value
    elif "anyOf" in value:
        value = {**value, "anyOf": [_open(one) for one in value["anyOf"]]}
    return {"anyOf": [value, _BRACES]}


def _repeated(job: dict[str, Any]) -> set[str]:
    """Return the names of what stands in lists, or by name in a section: it may be repeated by a loop."""
    found, waiting = set(), [job["properties"], *(one.get("properties", {}) for one in job["$defs"].values())]
    for properties in waiting:
        for value in properties.values():
            entries = [value.get("items", {}), *value.get("patternProperties", {}).values()]
            found |= {one["$ref"].rsplit("/", 1)[-1] for one in entries if "$ref" in one}
    return {name for name in found if "properties" in job["$defs"][name]}
