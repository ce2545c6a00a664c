"""Holds how words are found in a graph of words, letter by letter the same. Knows no sounds and no likelihoods."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from assistant.core.grammar.word_graph import Step, WordGraph


def parse(graph: WordGraph, words: Sequence[str]) -> tuple[Step, ...] | None:
    """Return the steps of a graph that words take; None where it does not allow them."""
    return _ways(graph, words).get(1)


def following(graph: WordGraph, words: Sequence[str]) -> tuple[Step, ...]:
    """Return the steps of a graph that may come after words."""
    ways = _ways(graph, words)
    return tuple(step for step in graph.steps if step.source in ways)


def _ways(graph: WordGraph, words: Sequence[str]) -> dict[int, tuple[Step, ...]]:
    """Return the points to which words lead, each with the steps that they take."""
    leaps: dict[int, list[int]] = defaultdict(list)
    for start, end in sorted(graph.leaps):
        leaps[start].append(end)
    ways = _spread({0: ()}, leaps)
    for word in words:
        if not ways:
            break  # most phrases end at the first word of a line that is another
        small = word.lower()
        after: dict[int, tuple[Step, ...]] = {}
        for step in graph.steps:
            if step.source in ways and step.word.lower() == small:
                after.setdefault(step.target, (*ways[step.source], step))
        ways = _spread(after, leaps)
    return ways


def _spread(ways: Mapping[int, tuple[Step, ...]], leaps: Mapping[int, Sequence[int]]) -> dict[int, tuple[Step, ...]]:
    """Return the ways with the points that are reached from them without a word."""
    spread = dict(ways)
    waiting = [*spread]
    while waiting:
        point = waiting.pop()
        for end in leaps.get(point, ()):
            if end not in spread:
                spread[end] = spread[point]
                waiting.append(end)
    return spread
