"""The search: at what cost does each phrase explain the sounds that were written down? Arithmetic only, no verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.core.grammar.word_graph import Step
from assistant.core.hearing.near.sound_graph import SoundGraph
from assistant.core.hearing.near.sounds import INDEX, loss, substitution

SWEEPS = 2
"""So many words of a phrase may be missing in a row, and twice as many sounds of a word."""

FAR = np.float32(1e6)


@dataclass(frozen=True, slots=True)
class Path:
    """The best way through one phrase: its cost, its words, and those of its slot."""

    phrase: int
    cost: float
    words: tuple[Step, ...]


class Search:
    """Viterbi over a graph of sounds, for several writings at once.

    Most ways lead from a node to the one laid out after it, along a word; these are taken by shifting the
    costs, which is several times as fast as gathering them. The other ways join the words.
    """

    def __init__(self, graph: SoundGraph) -> None:
        self._graph = graph
        along = graph.sources == graph.targets - 1
        self._sources, targets = graph.sources[~along], graph.targets[~along]
        self._groups = np.flatnonzero(np.diff(targets, prepend=-1))
        self._reached = targets[self._groups]
        self._loss = loss()[graph.labels]
        self._change = substitution()[:, graph.labels]
        self._joining_change = self._change[:, targets]
        self._joining_loss = self._loss[targets]
        inside = np.zeros(len(graph.labels), dtype=bool)
        inside[graph.targets[along]] = True
        self._inside_loss = np.where(inside, self._loss, FAR)[1:]
        self._inside_change = np.where(inside, self._change, FAR)[:, 1:]

    def costs(self, writings: Sequence[Sequence[str]]) -> list[NDArray[np.float32]]:
        """Return for each writing the costs by sound heard and by node."""
        sounds = [[INDEX[sound] for sound in writing] for writing in writings]
        longest = max(len(writing) for writing in sounds)
        padded = np.array([writing + [0] * (longest - len(writing)) for writing in sounds], dtype=np.intp)
        table = np.full((longest, len(sounds), len(self._graph.labels)), FAR, dtype=np.float32)
        table[0][:, self._graph.starts] = 0
        self._sweep(table[0])
        for place in range(1, longest):  # place 0 is the boundary at the start, which is the start node
            self._advance(table[place - 1], padded[:, place], table[place])
        return [table[: len(writing), index] for index, writing in enumerate(sounds)]

    def _advance(self, before: NDArray[np.float32], heard: NDArray[np.intp], after: NDArray[np.float32]) -> None:
        """Hear one sound more in every writing: fill the costs `after` it from those before it."""
        np.add(before, loss()[heard][:, None], out=after)
        self._join(after, before[:, self._sources] + self._joining_change[heard])
        np.minimum(after[:, 1:], before[:, :-1] + self._inside_change[heard], out=after[:, 1:])
        self._sweep(after)

    def _sweep(self, column: NDArray[np.float32]) -> None:
        """Let sounds of the phrases be missing, in place."""
        for _ in range(SWEEPS):
            for _ in range(2):
                np.minimum(column[:, 1:], column[:, :-1] + self._inside_loss, out=column[:, 1:])
            self._join(column, column[:, self._sources] + self._joining_loss)

    def _join(self, column: NDArray[np.float32], arriving: NDArray[np.float32]) -> None:
        """Take the best of what arrives at each node by the ways that join words, in place."""
        best = np.minimum.reduceat(arriving, self._groups, axis=1)
        column[:, self._reached] = np.minimum(column[:, self._reached], best)

    def ends(self, costs: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the cost of each phrase as a whole, for one writing."""
        last = costs[-1]
        return np.array([min(last[node] for node in ends) for ends in self._graph.ends], dtype=np.float32)

    def trace(self, costs: NDArray[np.float32], writing: Sequence[str], phrase: int) -> Path:
        """Return the best way through one phrase for one writing; without words where no way was found."""
        node = min(self._graph.ends[phrase], key=lambda end: float(costs[-1][end]))
        total = float(costs[-1][node])
        if total >= FAR:  # it was never reached, and costs that are no costs could lead round a circle for ever
            return Path(phrase, total, ())
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
                options.append((float(costs[place - 1][source] + self._change[heard, node]), place - 1, source))
            options.append((float(costs[place][source] + self._loss[node]), place, source))
        if not options:
            return None
        _, place, node = min(options)
        return place, node
