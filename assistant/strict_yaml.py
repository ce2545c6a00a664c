"""YAML as a person writes it: plain values, lists and mappings. What can only be meant to confuse is refused.

An alias can make a page of text as large as the memory, thousands of brackets inside each other end a reader that
calls itself, and of a key that stands there twice nobody knows which was meant.
"""

from __future__ import annotations

from typing import Any

import yaml

DEEPEST = 40
"""So many lists and mappings may stand inside each other."""
UNFIT = (yaml.YAMLError, ValueError, TypeError, AttributeError, KeyError, OverflowError, RecursionError)
"""What a YAML that is none may raise: the library lets faults of dates, numbers and tags through as they come."""


class StrictLoader(yaml.SafeLoader):
    """Composes only what has no alias, is not too deep, and gives no key twice; raises `yaml.YAMLError` otherwise."""

    def __init__(self, stream: str) -> None:
        super().__init__(stream)
        self._depth = 0

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        """Compose one node, as the base does."""
        if self.check_event(yaml.AliasEvent):
            raise _fault(self._here(), "an alias stands for other text: write that out")
        self._depth += 1
        if self._depth > DEEPEST:
            raise _fault(self._here(), f"more than {DEEPEST} lists stand inside each other")
        node: yaml.Node | None = super().compose_node(parent, index)
        self._depth -= 1
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
                raise _fault(key.start_mark, f"{key.value[:40]!r} is given twice: give it once")
            seen.add(key.value)
        return node


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
