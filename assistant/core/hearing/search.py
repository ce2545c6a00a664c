"""The search: at what cost does each phrase explain the sounds that were written down? Arithmetic only, no verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.core.hearing.grammar import Step
from assistant.core.hearing.sound_graph import SoundGraph
from assistant.core.hearing.sounds import INDEX, loss, substitution

SWEEPS = 4
"""So many sounds of a phrase may be missing in a row."""

FAR = np.float32(1e6)


@dataclass(frozen=True, slots=True)
class Path:
    """The best way through one phrase: its cost, its words, and those of its slot."""

    phrase: int
    cost: float
    words: tuple[Step, ...]


class Search:
    """Viterbi over a graph of sounds, for several writings at once."""

    def __init__(self, graph: SoundGraph) -> None:
        self._graph = graph
        first = np.flatnonzero(np.diff(graph.targets, prepend=-1))
        self._groups = first
        self._reached = graph.targets[first]
        self._loss = loss()[graph.labels][:, None]
        self._change = substitution()[:, graph.labels[graph.targets]]

    def costs(self, writings: Sequence[Sequence[str]]) -> list[NDArray[np.float32]]:
        """Return for each writing the costs by sound heard and by node."""
        sounds = [[INDEX[sound] for sound in writing] for writing in writings]
        longest = max(len(writing) for writing in sounds)
        padded = np.array([writing + [0] * (longest - len(writing)) for writing in sounds], dtype=np.intp)
        column = np.full((len(self._graph.labels), len(sounds)), FAR, dtype=np.float32)
        column[self._graph.starts] = 0
        self._sweep(column)
        columns = [column]
        for place in range(1, longest):  # place 0 is the boundary at the start, which is the start node
            column = self._advance(column, padded[:, place])
            columns.append(column)
        table = np.stack(columns)
        return [table[: len(writing), :, index] for index, writing in enumerate(sounds)]

    def _advance(self, column: NDArray[np.float32], heard: NDArray[np.intp]) -> NDArray[np.float32]:
        following = column + loss()[heard][None, :]
        moved = column[self._graph.sources] + self._change[heard].T
        best = np.minimum.reduceat(moved, self._groups, axis=0)
        following[self._reached] = np.minimum(following[self._reached], best)
        self._sweep(following)
        return following

    def _sweep(self, column: NDArray[np.float32]) -> None:
        """Let sounds of the phrases be missing, in place."""
        for _ in range(SWEEPS):
            best = np.minimum.reduceat(column[self._graph.sources], self._groups, axis=0) + self._loss[self._reached]
            column[self._reached] = np.minimum(column[self._reached], best)

    def ends(self, costs: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the cost of each phrase as a whole, for one writing."""
        last = costs[-1]
        return np.array([min(last[node] for node in ends) for ends in self._graph.ends], dtype=np.float32)

    def trace(self, costs: NDArray[np.float32], writing: Sequence[str], phrase: int) -> Path:
        """Return the best way through one phrase for one writing."""
        node = min(self._graph.ends[phrase], key=lambda end: float(costs[-1][end]))
        total = float(costs[-1][node])
        place, words = len(writing) - 1, []
        while place > 0 or self._graph.labels[node] != 0 or self._incoming(node).size:
            if word := self._graph.words[node]:
                words.append(word)
            step = self._previous(costs, place, node, INDEX[writing[place]])
            if step is None:
                break
            if step[1] == node:  # an extra sound was heard here: the word was noted already
                words = words[:-1] if word else words
            place, node = step
        return Path(phrase, total, tuple(reversed(words)))

    def _incoming(self, node: int) -> NDArray[np.intp]:
        low, high = np.searchsorted(self._graph.targets, [node, node + 1])
        return np.arange(low, high)

    def _previous(self, costs: NDArray[np.float32], place: int, node: int, heard: int) -> tuple[int, int] | None:
        """Return where the cost of a node at a place came from: the choice that reproduces it best."""
        options: list[tuple[float, int, int]] = []
        if place > 0:
            options.append((float(costs[place - 1][node] + loss()[heard]), place - 1, node))
        for way in self._incoming(node):
            source = int(self._graph.sources[way])
            if place > 0:
                options.append((float(costs[place - 1][source] + self._change[heard, way]), place - 1, source))
            options.append((float(costs[place][source] + self._loss[node, 0]), place, source))
        if not options:
            return None
        _, place, node = min(options)
        return place, node
