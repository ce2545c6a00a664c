"""A phrase as a graph of sounds, laid out in arrays for the search. Built once, joined for each state."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.core.grammar.word_graph import Step, WordGraph
from assistant.core.hearing.near.sounds import BOUNDARY, INDEX, Lexicon


@dataclass(frozen=True, slots=True, eq=False)
class SoundGraph:
    """Nodes, each a sound that has just been heard, and the ways from one to the next."""

    labels: NDArray[np.int32]
    """The sound of each node, by `sounds.INDEX`."""
    sources: NDArray[np.int32]
    targets: NDArray[np.int32]
    """The ways, in order of their targets."""
    words: tuple[Step | None, ...]
    """The word that a node is the last sound of."""
    starts: NDArray[np.int32]
    ends: tuple[tuple[int, ...], ...]
    """For each phrase, the nodes at which it may be over."""


def sound_graph(graph: WordGraph, lexicon: Lexicon) -> SoundGraph:
    """Return the graph of sounds of one phrase. Each point between words is a node that sounds as a boundary."""
    before = _leaping(graph)
    labels = [INDEX[BOUNDARY]] * graph.points
    words: list[Step | None] = [None] * graph.points
    ways: list[tuple[int, int]] = []
    for step in graph.steps:
        for sounds in lexicon(step.word):
            first = len(labels)
            labels += [INDEX[sound] for sound in sounds]
            words += [*[None] * (len(sounds) - 1), step]
            ways += [(point, first) for point in before[step.source]]
            ways += [(node, node + 1) for node in range(first, first + len(sounds) - 1)]
            ways.append((len(labels) - 1, step.target))
    ways.sort(key=lambda way: way[1])
    sources, targets = np.array(ways, dtype=np.int32).reshape(-1, 2).T
    ends = (tuple(sorted(before[1])),)
    return SoundGraph(np.array(labels, np.int32), sources, targets, tuple(words), np.array([0], np.int32), ends)


def _leaping(graph: WordGraph) -> dict[int, set[int]]:
    """Return for each point the points from which it is reached without a word, itself included."""
    before: dict[int, set[int]] = defaultdict(set)
    for point in range(graph.points):
        before[point].add(point)
    changed = True
    while changed:
        changed = False
        for start, end in graph.leaps:
            if not before[start] <= before[end]:
                before[end] |= before[start]
                changed = True
    return before


def join(graphs: Sequence[SoundGraph]) -> SoundGraph:
    """Return several phrases as one graph, each with its own end."""
    offsets = np.cumsum([0, *(len(graph.labels) for graph in graphs)])
    shifted = list(zip(graphs, offsets[:-1], strict=True))
    return SoundGraph(
        labels=np.concatenate([graph.labels for graph in graphs]),
        sources=np.concatenate([graph.sources + offset for graph, offset in shifted]),
        targets=np.concatenate([graph.targets + offset for graph, offset in shifted]),
        words=tuple(word for graph in graphs for word in graph.words),
        starts=np.concatenate([graph.starts + offset for graph, offset in shifted]).astype(np.int32),
        ends=tuple(tuple(end + int(offset) for end in graph.ends[0]) for graph, offset in shifted),
    )
