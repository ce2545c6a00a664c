"""Every wording of a phrase that has few: for those without numbers. Knows no sounds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from assistant.core.grammar.word_graph import WordGraph


def wordings(graph: WordGraph) -> Iterator[str]:
    """Yield each wording of a graph once; it must have no circle, in which it would never end."""
    ways: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for step in graph.steps:
        ways[step.source].append((step.word, step.target))
    for start, end in sorted(graph.leaps):
        ways[start].append(("", end))
    found: dict[str, None] = {}
    waiting: list[tuple[int, str]] = [(0, "")]
    while waiting:
        point, text = waiting.pop()
        if point == 1:
            found.setdefault(text)
        waiting += [(target, f"{text} {word}".strip()) for word, target in reversed(ways[point])]
    yield from found
