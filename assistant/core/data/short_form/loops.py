"""Raw data of a file with its names replaced and its loops unfolded."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from assistant.core.data.short_form.names import IS_NAME, Item, NoSuchName, Scope, filled, unquoted
from assistant.core.data.short_form.places import Ledger, Origin, Piece, Place

LOOP = frozenset({"for_each", "as"})
"""The fields of a loop; what stands beside them is repeated for each item."""


class Filler:
    """Copies raw data: every name in braces is replaced, and an entry with `for_each` stands there once an item."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.lists: dict[str, Any] = {}
        """The lists that are known so far, by name."""

    def piece(self, node: Any, at: Origin, scope: Scope) -> Piece:
        """Return a copy of what stands at a place."""
        inner: dict[Place, Origin] = {}
        return Piece(self._copy(node, at, scope, (), inner), at, inner)

    def _copy(self, node: Any, at: Origin, scope: Scope, flat: Place, inner: dict[Place, Origin]) -> Any:
        self.ledger.spend(at)
        if isinstance(node, str):
            return self.text(node, at, scope)
        if name := unquoted(node, scope):
            self.ledger.fault(at, f'put it between quotation marks: "{{{name}}}"')
        elif isinstance(node, dict):
            return {key: self._copy(one, at.down(key), scope, (*flat, key), inner) for key, one in node.items()}
        elif isinstance(node, list):
            return self._list(node, at, scope, flat, inner)
        return node

    def _list(self, nodes: list[Any], at: Origin, scope: Scope, flat: Place, inner: dict[Place, Origin]) -> list[Any]:
        copies: list[Any] = []
        for one, place, inside in self.each(nodes, at, scope):
            here = (*flat, len(copies))
            if place != at.down(len(copies)):
                inner[here] = place
            copies.append(self._copy(one, place, inside, here, inner))
        return copies

    def text(self, text: str, at: Origin, scope: Scope) -> Any:
        """Return a text with its names replaced."""
        try:
            given = filled(text, scope)
        except NoSuchName as error:
            self.ledger.fault(at, str(error))
            return text
        self.ledger.spend(at, _size(given))
        return given

    def each(self, nodes: list[Any], at: Origin, scope: Scope) -> Iterator[tuple[Any, Origin, Scope]]:
        """Yield the entries of a list with their place and what names stand for in them, those of a loop once an
        item."""
        for number, node in enumerate(nodes):
            if isinstance(node, dict) and "for_each" in node:
                yield from self.loop(node, at.down(number), scope)
            else:
                yield node, at.down(number), scope

    def loop(self, node: dict[Any, Any], at: Origin, scope: Scope) -> Iterator[tuple[Any, Origin, Scope]]:
        """Yield what a loop repeats, for each item, as `each` does."""
        body = {key: one for key, one in node.items() if key not in LOOP}
        name = node.get("as")
        if not isinstance(name, str) or not IS_NAME.fullmatch(name):
            self.ledger.fault(at, "a loop says `as` which name its item has, for instance: as: wheel")
        elif name in scope:
            self.ledger.fault(at.down("as"), f"{name} already stands for something here: take another name")
        elif not body:
            self.ledger.fault(at, "the loop repeats nothing: write what it repeats beside `for_each`")
        else:
            for item in self._items(node["for_each"], at.down("for_each"), scope):
                self.ledger.spend(at)
                yield body, at, {**scope, name: item}

    def _items(self, wanted: Any, at: Origin, scope: Scope) -> Iterator[Item]:
        named = self.text(wanted, at, scope) if isinstance(wanted, str) else wanted
        items = self.lists.get(named) if isinstance(named, str) else named
        if items is None:
            known = ", ".join(self.lists) or "none"
            self.ledger.fault(at, f"there is no list {str(named)[:40]!r}; there are: {known}")
        elif why := _misshapen(items):
            self.ledger.fault(at, why)
        else:
            yield from map(Item, items)


def _size(given: Any) -> int:
    """Return how many values were put in the place of a name, long texts counted as several."""
    if isinstance(given, str):
        return len(given) // 100
    if isinstance(given, Mapping):
        return sum(1 + _size(one) for one in given.values())
    return sum(1 + _size(one) for one in given) if isinstance(given, list) else 0


def _misshapen(items: Any) -> str:
    """Return what is wrong with a list of items, empty where nothing is."""
    if not isinstance(items, list) or not items:
        return "a list has one item at least"
    for item in items:
        if not isinstance(item, dict) or not all(isinstance(item.get(field), str) for field in ("id", "name")):
            return "each item of a list has an `id` and a `name`: {id: left-front, name: left front}"
        if not IS_NAME.fullmatch(item["id"]):
            return f"{item['id'][:40]!r} is no id: lower-case letters, digits, and - between them"
    doubles = len(items) - len({item["id"] for item in items})
    return "two items of the list have the same id" if doubles else ""
