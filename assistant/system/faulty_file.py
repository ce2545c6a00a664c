"""What is wrong with a file that somebody wrote, a line for each fault: file, line, field, and what is allowed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from assistant.core.data.short_form.places import Place
from assistant.core.errors import DataError

MOST_FAULTS = 20
"""So many faults of a file are told at once; the rest often follow from them."""
_WORDS = {
    "extra_forbidden": "no such field is known here: check its spelling, or leave it out",
    "missing": "it is missing",
}
"""In our words what the checking library says in its own, by its names of faults."""


def faulty(path: Path, tree: yaml.Node | None, faults: Iterable[tuple[Place, str]]) -> DataError:
    """Return the refusal of a file for faults at places in it, a line for each."""
    return refusal(path, [f"{path}, line {line_of(tree, place)}: {field_of(place)}: {why}" for place, why in faults])


def refusal(path: Path, lines: list[str]) -> DataError:
    """Return the refusal of a file, with the first `MOST_FAULTS` of the lines that tell its faults."""
    more = [f"... and {len(lines) - MOST_FAULTS} more"] if len(lines) > MOST_FAULTS else []
    say = f"The file {path.name} is wrong. See the screen."
    return DataError("\n".join([*lines[:MOST_FAULTS], *more]), say=say)


def faults_in(error: ValidationError) -> Iterator[tuple[Place, str]]:
    """Yield the faults that a check of the whole found, each with its place."""
    for fault in error.errors():
        yield fault["loc"], _words(fault)


def _words(fault: Mapping[str, Any]) -> str:
    own: str = fault["msg"]
    return _WORDS.get(fault["type"], own.removeprefix("Value error, "))


def field_of(place: Place) -> str:
    """Return how a place is written: its keys with points between them."""
    return ".".join(map(str, place)) or "the whole"


def line_of(tree: yaml.Node | None, place: Place) -> int:
    """Return the line of the innermost node on the way to a place, the first is 1."""
    node = node_at(tree, place)
    return node.start_mark.line + 1 if node else 1


def node_at(tree: yaml.Node | None, place: Place) -> yaml.Node | None:
    """Return the innermost node on the way to a place; None where the file is empty."""
    for key in place:
        inner = next(_children(tree, key), None)
        if inner is None:
            break
        tree = inner
    return tree


def _children(node: yaml.Node | None, key: int | str) -> Iterator[yaml.Node]:
    if isinstance(node, yaml.MappingNode):
        yield from (value for name, value in node.value if name.value == str(key))
    elif isinstance(node, yaml.SequenceNode) and isinstance(key, int) and key < len(node.value):
        yield node.value[key]
