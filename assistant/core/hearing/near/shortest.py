"""Finds the shortest wording of a phrase, by whatever its words are measured with. Knows no sounds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from heapq import heappop, heappush

from assistant.core.grammar.word_graph import WordGraph


def shortest(graph: WordGraph, length: Callable[[str], float]) -> tuple[str, ...]:
    """Return the words of the shortest way through a graph; none where nothing need be said, or can be.

    `length` gives the length of a word, at least 0.
    """
    waiting: list[tuple[float, int, tuple[str, ...]]] = [(0.0, 0, ())]
    known: set[int] = set()
    while waiting:
        far, point, words = heappop(waiting)
        if point == 1:
            return words
        if point not in known:
            known.add(point)
            for word, target in _onward(graph, point):
                added = (*words, word) if word else words
                heappush(waiting, (far + (length(word) if word else 0.0), target, added))
    return ()


def _onward(graph: WordGraph, point: int) -> Iterator[tuple[str, int]]:
    """Yield each word that may come next and the point after it; an empty one where none need be said."""
    yield from ((step.word, step.target) for step in graph.steps if step.source == point)
    yield from (("", end) for start, end in graph.leaps if start == point)
