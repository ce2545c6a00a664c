"""Names in braces that are replaced when a file is unfolded: parameters of groups, and items of lists."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LONGEST = 10_000
"""So many characters a text may have once its names are replaced: nothing that is spoken is near it."""
IS_NAME = re.compile(r"[a-z][a-z0-9]*([-_][a-z0-9]+)*")
"""What the name of a parameter, an item or a list looks like."""
_BRACES = re.compile(r"\{([a-z][a-z0-9_-]*)(?:\.([a-z][a-z0-9_-]*))?\}")


@dataclass(frozen=True)
class Item:
    """One item of a list: `{wheel}` is its id, `{wheel.name}` its name, and so each further field."""

    fields: Mapping[str, Any]


Scope = Mapping[str, Any]
"""What the names in braces stand for: an `Item`, or what was given for a parameter."""


class NoSuchName(Exception):  # noqa: N818 — the shortest true name
    """A name in braces that can't be replaced where it stands."""


def filled(text: str, scope: Scope) -> Any:
    """Return a text with its names replaced; other braces stay.

    A text that is nothing but a name becomes what was given for it, also a number or a list. NoSuchName says why a name
    can't be replaced.
    """
    if "{" not in text:
        return text
    if (whole := _BRACES.fullmatch(text)) and whole[1] in scope:
        return _meant(whole, scope)
    parts, end, length = [], 0, 0
    for found in _BRACES.finditer(text):
        if found[1] in scope:
            parts += [text[end : found.start()], _in_text(found, scope)]
            end = found.end()
            length += len(parts[-2]) + len(parts[-1])
        if length > LONGEST:
            raise NoSuchName(f"with its names replaced, the text is longer than {LONGEST} characters")
    return "".join([*parts, text[end:]])


def whole_item(text: Any, scope: Scope) -> Item | None:
    """Return the item that a text names and nothing else: a group may be given it with all its fields."""
    found = _BRACES.fullmatch(text) if isinstance(text, str) else None
    item = scope.get(found[1]) if found and not found[2] else None
    return item if isinstance(item, Item) else None


def unquoted(node: Any, scope: Scope) -> str | None:
    """Return the name in what should have been a text: braces without quotation marks are a mapping in YAML."""
    if isinstance(node, dict) and len(node) == 1:
        name, value = next(iter(node.items()))
        if value is None and str(name).split(".")[0] in scope:
            return str(name)
    return None


def _meant(found: re.Match[str], scope: Scope) -> Any:
    name, of = found.groups()
    given = scope[name]
    if not isinstance(given, Item):
        if of:
            raise NoSuchName(f"{found[0]}: {name} is no item of a list, and has no {of}")
        return given
    if (of or "id") not in given.fields:
        raise NoSuchName(f"{found[0]}: an item has {', '.join(given.fields)}")
    return given.fields[of or "id"]


def _in_text(found: re.Match[str], scope: Scope) -> str:
    meant = _meant(found, scope)
    if isinstance(meant, bool) or not isinstance(meant, str | int | float):
        raise NoSuchName(f"{found[0]} stands in a text, and is neither a text nor a number")
    return str(meant)
