"""What is wrong with a file that somebody wrote, a line for each fault: file, line, column, rule, field, the mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from assistant.core.data.short_form.places import Place
from assistant.core.errors import DataError
from assistant.core.proof.rules.every import FORM
from assistant.core.proof.rules.rule import Finding, Rule

MOST_FAULTS = 20
"""So many faults of a file are told at once; the rest often follow from them."""
_WORDS = {
    "extra_forbidden": "no such field is known here: check its spelling, or leave it out",
    "missing": "it is missing",
    "string_type": "a text is wanted: write it between quotation marks, for no, off, yes, on, numbers and nothing are "
    "read as something else without them",
    "tuple_type": "a list is wanted: put it between [ and ], also where it has one item",
    "dict_type": "it has fields of its own: write them behind their names, between { and } or on lines further in",
    "model_type": "it has fields of its own: write them behind their names, between { and } or on lines further in",
    "string_too_short": "the text is too short to say anything",
}
"""In our words what the checking library says in its own, by its names of faults."""


@dataclass(frozen=True, slots=True)
class Written:
    """Where something is written: the first line and the first column are 1."""

    file: str
    line: int
    column: int
    field: str
    """The way to it inside the file, as in `steps.3.say`."""
    way: str = ""
    """Through which groups it came to where it is used, in words; empty for what stands in the job's own file."""

    def __str__(self) -> str:
        """Return it as it is named in the middle of a sentence."""
        return f"{self.file}, line {self.line}"


At = Callable[[Place], Written]
"""Where a place of what a file holds is written."""


class Refused(DataError):  # noqa: N818 — the shortest true name
    """A file that breaks rules, with all that was found in it."""

    def __init__(self, path: Path, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        lines = [str(one) for one in self.findings]
        more = [f"... and {len(lines) - MOST_FAULTS} more"] if len(lines) > MOST_FAULTS else []
        say = f"The file {path.name} is wrong. See the screen."
        super().__init__("\n".join([*lines[:MOST_FAULTS], *more]), say=say)


def finding(at: Written, rule: Rule[Any], what: str) -> Finding:
    """Return a broken rule as it is told."""
    return Finding(at.file, at.line, at.column, rule.id, rule.severity, at.field, what + at.way, rule.mend)


def written(file: str | Path, tree: yaml.Node | None, place: Place, way: str = "") -> Written:
    """Return where a place of a file is written, and through which groups it came to where it is used."""
    node = _node_at(tree, place)
    line, column = (node.start_mark.line + 1, node.start_mark.column + 1) if node else (1, 1)
    return Written(str(file), line, column, ".".join(map(str, place)) or "the whole", way)


def malformed(path: Path, at: At, error: ValidationError) -> Refused:
    """Return the refusal of a file whose fields are not what they have to be."""
    return Refused(path, [finding(at(place), FORM, why) for place, why in _faults_in(error)])


def _faults_in(error: ValidationError) -> Iterator[tuple[Place, str]]:
    """Yield the faults that a check of the whole found, each with its place."""
    for fault in error.errors():
        yield fault["loc"], _words(fault)


def _words(fault: Mapping[str, Any]) -> str:
    own: str = fault["msg"]
    if fault["type"] in {"literal_error", "enum"}:
        return f"it has to be {fault['ctx']['expected']}"
    return _WORDS.get(fault["type"], own.removeprefix("Value error, "))


def _node_at(tree: yaml.Node | None, place: Place) -> yaml.Node | None:
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
