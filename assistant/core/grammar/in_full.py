"""A phrase as a person is told it: of alternatives the first, and all that may be left out, or nothing of it."""

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


def in_brief(node: Node) -> Iterator[str]:
    """Yield the words of the same wording without what may be left out; a rule stays as `<name>`."""
    match node.kind:
        case "maybe":
            return
        case "any":
            yield from in_brief(node.parts[0])
        case "all" | "many":
            for part in node.parts:
                yield from in_brief(part)
        case _:
            yield from in_full(node)
