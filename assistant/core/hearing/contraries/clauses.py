"""An expansion as the few clauses that it allows, as far as rules of contraries need to see into it. Knows no rules.

A clause is a row of parts. Words that matter, and those beside them, stand in it as words; an optional part or a choice
without any word that matters stays whole. So what is denied once in a clause stays as small as the phrase.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import chain, islice, product

from assistant.core.grammar.jsgf import Node

Clause = tuple[Node, ...]
MOST = 64
"""So many clauses of a phrase are looked at, at most."""


def clauses(node: Node, matters: Callable[[str], bool]) -> list[Clause]:
    """Return the clauses of an expansion, without those that hold no word."""
    return [clause for clause in islice(_clauses(node, matters), MOST) if any(map(holds_a_word, clause))]


def _clauses(node: Node, matters: Callable[[str], bool]) -> Iterator[Clause]:
    if node.kind == "all":
        for parts in product(*(list(islice(_clauses(part, matters), MOST)) for part in node.parts)):
            yield tuple(chain.from_iterable(parts))
    elif node.kind in ("any", "maybe") and _matters(node, matters):
        if node.kind == "maybe":
            yield ()
        for part in node.parts:
            yield from _clauses(part, matters)
    else:
        yield (node,)


def _matters(node: Node, matters: Callable[[str], bool]) -> bool:
    """Tell whether a word that matters is in a part, or a rule, whose words nobody sees."""
    if node.kind == "word":
        return matters(node.text)
    return node.kind == "rule" or any(_matters(part, matters) for part in node.parts)


def holds_a_word(node: Node) -> bool:
    """Return whether a part holds any word of its own."""
    return node.kind == "word" or any(map(holds_a_word, node.parts))


def of(parts: Sequence[Node]) -> Node:
    """Return parts in a row as one."""
    return parts[0] if len(parts) == 1 else Node("all", parts=tuple(parts))


def either(parts: Sequence[Node]) -> Node:
    """Return a choice between parts, each once."""
    different = tuple(dict.fromkeys(parts))
    return different[0] if len(different) == 1 else Node("any", parts=different)
