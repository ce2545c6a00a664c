"""A phrase as a person is told it: with all that may be left out, and of alternatives the first."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.grammar.jsgf import Node


def in_full(node: Node) -> Iterator[str]:
    """Yield the words of the fullest wording of an expansion; a rule stays as `<name>`."""
    match node.kind:
        case "word":
            yield node.text
        case "rule":
            yield f"<{node.text}>"
        case "any":
            yield from in_full(node.parts[0])
        case _:
            for part in node.parts:
                yield from in_full(part)
