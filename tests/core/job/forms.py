"""The shape of the facts that are written now, so that a change of it is noticed. Writes `form-N.json` anew:

python -m tests.core.job.forms
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from assistant.core.job.events import KINDS
from assistant.core.job.older_forms import FORM

FILE = Path(__file__).parent / "older_forms" / f"form-{FORM}.json"
Shape = dict[str, dict[str, Any]]
"""Of each kind, and of what is inside of it: its fields, and which of them it can't be without."""


def shape() -> Shape:
    """Return the shape of all facts of today."""
    found: Shape = {}
    for name, kind in KINDS.items():
        schema = TypeAdapter(kind).json_schema()
        for part, of in {name: schema, **schema.get("$defs", {})}.items():
            fields = {field: _bare(value) for field, value in of.get("properties", {}).items()}
            found[part] = {"fields": fields, "needs": sorted(of.get("required", [])), "values": of.get("enum", [])}
    return found


def _bare(value: Any) -> Any:
    """Return a schema without what says nothing of its shape."""
    if isinstance(value, dict):
        return {key: _bare(one) for key, one in value.items() if key not in ("title", "description", "default")}
    return [_bare(one) for one in value] if isinstance(value, list) else value


def broken(before: Shape, now: Shape) -> Iterator[str]:
    """Yield what was written before and can't be read now, or would be read as something else."""
    for part, old in before.items():
        if part not in now:
            yield f"{part} is gone"
            continue
        new = now[part]
        for field, value in old["fields"].items():
            if field not in new["fields"]:
                yield f"{part} has no {field} any more"
            elif new["fields"][field] != value:
                yield f"{field} of {part} is another"
        yield from (f"{part} needs {field}" for field in new["needs"] if field not in old["needs"])
        yield from (f"{part} knows no {value!r} any more" for value in old["values"] if value not in new["values"])


if __name__ == "__main__":
    FILE.write_text(json.dumps(shape(), indent=1, sort_keys=True) + "\n", encoding="utf-8")
