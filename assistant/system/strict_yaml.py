"""YAML as a person writes it: plain values, lists and mappings. What can only be meant to confuse is refused.

Aliases can make a page of text as large as the memory, thousands of brackets inside each other end a reader that
calls itself, and of a key that stands there twice nobody knows which was meant.
"""

from __future__ import annotations

from typing import Any

import yaml

DEEPEST = 40
"""So many lists and mappings may stand inside each other."""
UNFIT = (yaml.YAMLError, ValueError, TypeError, AttributeError, KeyError, OverflowError, RecursionError)
"""What a YAML that is none may raise: the library lets faults of dates, numbers and tags through as they come."""


MOST = 50_000
"""So many values a file may hold, each alias counted as all that it stands for."""


class StrictLoader(yaml.SafeLoader):
    """Composes only what is not too much, not too deep, and gives no key twice; raises `yaml.YAMLError` otherwise."""

    def __init__(self, stream: str) -> None:
        super().__init__(stream)
        self._depth = 0
        self._count = 0
        self._sizes: dict[int, int] = {}
        """How many values each node that is whole stands for, by its identity."""

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        """Compose one node, as the base does."""
        here, before = self._here(), self._count
        alias = self.check_event(yaml.AliasEvent)
        self._depth += 1
        if self._depth > DEEPEST:
            raise _fault(here, f"more than {DEEPEST} lists stand inside each other")
        node: yaml.Node | None = super().compose_node(parent, index)
        self._depth -= 1
        if alias and id(node) not in self._sizes:
            raise _fault(here, "an alias stands for what it is itself a part of")
        self._count += self._sizes[id(node)] if alias else 1
        if self._count > MOST:
            raise _fault(here, f"it holds more than {MOST} values, with what its aliases stand for")
        self._sizes.setdefault(id(node), self._count - before)
        return node

    def _here(self) -> Any:
        event: yaml.Event = self.peek_event()  # type: ignore[no-untyped-call]
        return event.start_mark

    def compose_mapping_node(self, anchor: Any) -> yaml.MappingNode:
        """Compose a mapping, as the base does."""
        node: yaml.MappingNode = super().compose_mapping_node(anchor)
        seen: set[str] = set()
        for key, _ in node.value:
            if not isinstance(key, yaml.ScalarNode):
                raise _fault(key.start_mark, "a key has to be a word")
            if key.value in seen:
                raise KeyTwice(None, None, f"{key.value[:40]!r} is given twice", key.start_mark)
            seen.add(key.value)
        return node


class KeyTwice(yaml.composer.ComposerError):
    """A key that stands twice in one mapping."""


def _fault(mark: Any, why: str) -> yaml.YAMLError:
    return yaml.composer.ComposerError(None, None, why, mark)


def read(text: str) -> tuple[Any, yaml.Node | None]:
    """Return what a text holds, and its nodes with their lines; one of `UNFIT` where it is no such YAML."""
    loader = StrictLoader(text)
    try:
        node = loader.get_single_node()
        return (None if node is None else loader.construct_document(node)), node
    finally:
        loader.dispose()
