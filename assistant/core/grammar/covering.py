"""Holds a few sentences that use all that a graph of words allows. Knows no sounds and no likelihoods."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Mapping, Sequence

from assistant.core.grammar.word_graph import WordGraph

Edges = Mapping[int, Sequence[tuple[int, str]]]


def covering(graph: WordGraph) -> tuple[str, ...]:
    """Return sentences so that each step of the graph is in one of them: by few words to it, and on to the end.

    What a phrase allows may be endless; for an engine that learns from sentences which word follows which, these do.
    """
    onward: dict[int, list[tuple[int, str]]] = defaultdict(list)
    backward: dict[int, list[tuple[int, str]]] = defaultdict(list)
    edges = [(step.source, step.word, step.target) for step in graph.steps]
    for source, word, target in [*edges, *((source, "", target) for source, target in sorted(graph.leaps))]:
        onward[source].append((target, word))
        backward[target].append((source, word))
    before, behind = _ways(0, onward), _ways(1, backward)
    sentences = (
        " ".join(word for word in (*before[step.source], step.word, *reversed(behind[step.target])) if word)
        for step in graph.steps
        if step.source in before and step.target in behind
    )
    return tuple(dict.fromkeys(sentences))


def _ways(start: int, edges: Edges) -> dict[int, tuple[str, ...]]:
    """Return the words on the way with the fewest words from a point to each other one."""
    ways: dict[int, tuple[str, ...]] = {}
    waiting: deque[tuple[int, tuple[str, ...]]] = deque([(start, ())])
    while waiting:
        point, words = waiting.popleft()
        if point in ways:
            continue
        ways[point] = words
        for target, word in edges.get(point, ()):
            if word:
                waiting.append((target, (*words, word)))
            else:
                waiting.appendleft((target, words))
    return ways
