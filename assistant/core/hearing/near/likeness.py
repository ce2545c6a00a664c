"""How far apart phrases are by sound: the cost of taking any wording of one for any of another. Knows no verdicts.

The costs are the matcher's own (`sounds.py`), so a pair that is near here is one that the matcher takes for each
other. A slot counts as whatever may be said in it, but two slots are taken as filled alike: numbers that sound
alike are no fault of the phrases around them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from graphlib import CycleError, TopologicalSorter

import numpy as np
from numpy.typing import NDArray

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Node, Rules, parse_expansion, references
from assistant.core.grammar.word_graph import Step, word_graph
from assistant.core.hearing.near.sound_graph import SoundGraph, join, sound_graph
from assistant.core.hearing.near.sounds import BOUNDARY, Lexicon, loss, sounds_of, substitution

FAR = 6.0
"""Distance from which it does not matter how far apart two phrases are."""

_JUMP = 1000.0
"""More than any cost: what is missing never leads from the end of one word into the word laid out after it."""
_ROUNDING = 1e-6

Costs = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Nearness:
    """Where two phrases come nearest to each other."""

    distance: float
    """Cost of taking the one for the other, 0 to `FAR` [distance of sounds]."""
    words: tuple[str, str]
    """The wordings that are so near; without those of slots that both fill. Empty from `FAR` on."""
    sounds: int
    """How many sounds the longer of the two wordings has."""

    @property
    def per_sound(self) -> float:
        """The distance for each sound of the longer wording."""
        return self.distance / max(self.sounds, 1)


class Likeness:
    """Measures expansions against each other; each is laid out once, and each pair is measured once."""

    def __init__(self, says: Sequence[str], rules: Rules, lexicon: Lexicon) -> None:
        """Take the expansions to be measured; DataError for one that repeats a word without end."""
        self._lexicon = lexicon
        self._index = {text: index for index, text in enumerate(dict.fromkeys(says))}
        nodes = [parse_expansion(text) for text in self._index]
        self._slotted = [bool({*references(node)} - {"NULL", "VOID"}) for node in nodes]
        self._bare = [sound_graph(word_graph(_without_slots(node), rules), lexicon) for node in nodes]
        self._whole = [sound_graph(word_graph(node, rules), lexicon) for node in nodes]
        self._rows: dict[int, _Row] = {}

    def distance(self, one: str, other: str) -> float:
        """Return how far apart two expansions are, 0 to `FAR`; the same either way round."""
        index, column = self._ordered(one, other)
        return self._row(index).distances[column]

    def nearness(self, one: str, other: str) -> Nearness:
        """Return how far apart two expansions are, and the wordings in which they are so near."""
        index, column = self._ordered(one, other)
        row = self._row(index)
        words = row.words(column)
        found = words if index == self._index[one] else (words[1], words[0])
        longest = max(sum(sound != BOUNDARY for sound in sounds_of(text, self._lexicon)) for text in words)
        return Nearness(row.distances[column], found, longest)

    def _ordered(self, one: str, other: str) -> tuple[int, int]:
        """Return both by number; one with a slot goes second, where it is laid out whole beside one without."""
        pair = sorted((self._index[one], self._index[other]), key=lambda index: (self._slotted[index], index))
        return pair[0], pair[1]

    def _row(self, index: int) -> _Row:
        if index not in self._rows:
            against = self._all_bare if self._slotted[index] else self._all_whole
            self._rows[index] = _Row(self._bare[index], against)
        return self._rows[index]

    @cached_property
    def _all_whole(self) -> _Side:
        return _Side(join(self._whole))

    @cached_property
    def _all_bare(self) -> _Side:
        return _Side(join(self._bare))


def _without_slots(node: Node) -> Node:
    """Return a part with nothing said in its slots."""
    if node.kind == "rule":
        return Node("rule", "NULL")
    return replace(node, parts=tuple(_without_slots(part) for part in node.parts))


class _Side:
    """Many phrases as one graph, ready to be walked through for whatever is heard.

    Most ways lead along a word, from a node to the one laid out after it. Missing sounds along all words are taken
    at once: costs less a potential that grows by what each missing sound costs, and by `_JUMP` from word to word.
    """

    def __init__(self, graph: SoundGraph) -> None:
        self.graph = graph
        self.loss = loss()[graph.labels].astype(float)
        self.change = substitution()[:, graph.labels].astype(float)
        along = graph.sources == graph.targets - 1
        self._inside = np.zeros(len(graph.labels), dtype=bool)
        self._inside[graph.targets[along]] = True
        self._potential = np.cumsum(np.where(self._inside, self.loss, _JUMP))
        self._sources, self._targets = graph.sources[~along], graph.targets[~along]
        self._groups = np.flatnonzero(np.diff(self._targets, prepend=-1))
        self._reached = self._targets[self._groups]

    def start(self) -> Costs:
        """Return the costs by node before anything is heard."""
        column = self.nowhere()
        column[self.graph.starts] = 0
        return self._settled(column)

    def nowhere(self) -> Costs:
        """Return the costs by node where nothing leads."""
        return np.full(len(self.graph.labels), np.inf)

    def hear(self, before: Costs, sound: int) -> Costs:
        """Return the costs by node after one sound more."""
        change = self.change[sound]
        after = before + float(loss()[sound])
        along = np.where(self._inside[1:], before[:-1] + change[1:], np.inf)
        np.minimum(after[1:], along, out=after[1:])
        self._arrive(after, before[self._sources] + change[self._targets])
        return self._settled(after)

    def _settled(self, column: Costs) -> Costs:
        """Let sounds of these phrases be missing, as many as are of any use."""
        while True:
            column = np.minimum.accumulate(column - self._potential) + self._potential
            known = column.copy()
            self._arrive(column, column[self._sources] + self.loss[self._targets])
            column[column >= FAR] = np.inf
            if not (column < known - _ROUNDING).any():
                return column

    def _arrive(self, column: Costs, arriving: Costs) -> None:
        if arriving.size:
            best = np.minimum.reduceat(arriving, self._groups)
            column[self._reached] = np.minimum(column[self._reached], best)


class _Row:
    """One phrase against all of a side."""

    def __init__(self, heard: SoundGraph, side: _Side) -> None:
        self._heard = heard
        self._side = side
        self._before = _before(heard)
        self._costs: dict[int, Costs] = {}
        for node in _in_order(self._before):
            self._costs[node] = side.start() if node in heard.starts else self._after(node)
        last = np.minimum.reduce([self._costs[end] for end in heard.ends[0]])
        self.distances = [min(FAR, *(float(last[end]) for end in ends)) for ends in side.graph.ends]

    def _after(self, node: int) -> Costs:
        before = [self._costs[source] for source in self._before[node]]
        sound = int(self._heard.labels[node])
        return self._side.hear(np.minimum.reduce(before), sound) if before else self._side.nowhere()

    def words(self, column: int) -> tuple[str, str]:
        """Return the wordings in which this phrase and another are nearest; empty from `FAR` on."""
        if self.distances[column] >= FAR:
            return "", ""
        ends = [(node, end) for node in self._heard.ends[0] for end in self._side.graph.ends[column]]
        node, other = min(ends, key=lambda pair: float(self._costs[pair[0]][pair[1]]))
        own: list[Step] = []
        others: list[Step] = []
        while came := self._came_from(node, other):
            if came[0] != node and (word := self._heard.words[node]):
                own.append(word)
            if came[1] != other and (word := self._side.graph.words[other]):
                others.append(word)
            node, other = came
        return _text(own), _text(others)

    def _came_from(self, node: int, other: int) -> tuple[int, int] | None:
        """Return the pair of nodes before that pair on its cheapest way; None at the start."""
        sound, graph = int(self._heard.labels[node]), self._side.graph
        low, high = np.searchsorted(graph.targets, [other, other + 1])
        sources = [int(source) for source in graph.sources[low:high]]
        ways = [(float(self._costs[node][source] + self._side.loss[other]), node, source) for source in sources]
        for before in self._before[node]:
            ways.append((float(self._costs[before][other] + loss()[sound]), before, other))
            change = self._side.change[sound, other]
            ways += [(float(self._costs[before][source] + change), before, source) for source in sources]
        best = min(ways, default=(np.inf, 0, 0))
        return best[1:] if best[0] < FAR else None


def _text(backwards: Sequence[Step]) -> str:
    return " ".join(step.word for step in reversed(backwards))


def _before(graph: SoundGraph) -> dict[int, list[int]]:
    """Return for each node of a phrase the nodes before it."""
    before: dict[int, list[int]] = {node: [] for node in range(len(graph.labels))}
    for source, target in zip(graph.sources, graph.targets, strict=True):
        before[int(target)].append(int(source))
    return before


def _in_order(before: dict[int, list[int]]) -> list[int]:
    try:
        return list(TopologicalSorter(before).static_order())
    except CycleError as error:
        raise DataError(
            "a phrase repeats a word with * or +, so it has no longest wording: write out how often it may be said",
            say="A phrase repeats without end. See the screen.",
        ) from error
