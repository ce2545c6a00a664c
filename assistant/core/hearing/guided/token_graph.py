"""Holds the phrases allowed now as the pieces in which a recogniser would write them. Knows no sounds.

A recogniser writes one word in several ways: with a capital at the start, in figures, hyphenated to the word
before, in British or American spelling. All ways lead along the same word of the graph.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from assistant.core.grammar.word_graph import Step, WordGraph
from assistant.core.hearing.guided.pieces import GAP, Pieces
from assistant.core.quantities.saying import say_integer

State = frozenset[int]
"""Where one may be in the graph after the pieces so far."""

_FIGURES = {say_integer(number): str(number) for number in (*range(21), *range(30, 100, 10))}
_AMERICAN = (("litre", "liter"), ("metre", "meter"), ("grey", "gray"))
_HYPHEN = "-"


class TokenGraph:
    """Nodes joined by pieces; a hypothesis stands on all the nodes that its pieces may have led to."""

    def __init__(self, graphs: Sequence[WordGraph], pieces: Pieces) -> None:
        self._pieces = pieces
        self._ways: list[dict[int, dict[int, str]]] = []
        self._following: dict[State, dict[int, State]] = {}
        self._final: set[int] = set()
        self.start: State = frozenset(self._lay(graph) for graph in graphs)

    def after(self, state: State) -> dict[int, State]:
        """Return the pieces that may come next, each with where it leads."""
        if state not in self._following:
            found: dict[int, set[int]] = defaultdict(set)
            for node in state:
                for piece, targets in self._ways[node].items():
                    found[piece] |= targets.keys()
            self._following[state] = {piece: frozenset(targets) for piece, targets in found.items()}
        return self._following[state]

    def may_end(self, state: State) -> bool:
        """Return whether a phrase may be over."""
        return not self._final.isdisjoint(state)

    def words(self, written: Sequence[int]) -> str:
        """Return the words of the phrases along which pieces lead, as the phrases spell them."""
        ways: dict[int, tuple[str, ...]] = dict.fromkeys(sorted(self.start), ())
        for piece in written:
            after: dict[int, tuple[str, ...]] = {}
            for node, said in ways.items():
                for target, word in self._ways[node].get(piece, {}).items():
                    after.setdefault(target, (*said, word) if word else said)
            ways = after
        return next((" ".join(said) for node, said in ways.items() if node in self._final), "")

    def _node(self) -> int:
        self._ways.append({})
        return len(self._ways) - 1

    def _lay(self, graph: WordGraph) -> int:
        """Lay one phrase from point to point; return its first node."""
        reached = _leaping(graph)
        begins: dict[int, list[Step]] = defaultdict(list)
        for step in graph.steps:
            begins[step.source].append(step)
        points = {point: self._node() for point in sorted({0, *(step.target for step in graph.steps)})}
        for point, node in points.items():
            if 1 in reached[point]:
                self._final.add(node)
            for step in (step for near in sorted(reached[point]) for step in begins[near]):
                for way in self._spellings(step.word, first=point == 0):
                    self._string(node, way, points[step.target], step.word)
        return points[0]

    def _string(self, node: int, way: Sequence[int], end: int, word: str) -> None:
        """Lay the pieces of a word from one node to another; words that begin alike share their beginning."""
        for piece in way[:-1]:
            targets = self._ways[node].setdefault(piece, {})
            inside = next((target for target, ended in targets.items() if not ended), None)
            if inside is None:
                inside = self._node()
                targets[inside] = ""
            node = inside
        self._ways[node].setdefault(way[-1], {})[end] = word

    def _spellings(self, word: str, *, first: bool) -> Iterator[tuple[int, ...]]:
        texts = {word, "I" + word[1:] if word == "i" or word.startswith("i'") else word}
        for british, american in _AMERICAN:
            texts |= {text.replace(british, american) for text in texts}
        texts |= {_FIGURES[word]} if word in _FIGURES else set()
        texts |= {text[:1].upper() + text[1:] for text in texts} if first else set()
        written = {GAP + text for text in texts} | (set() if first else {_HYPHEN + text for text in texts})
        for text in sorted(written):
            if cut := self._cut(text):
                yield cut

    def _cut(self, text: str) -> tuple[int, ...] | None:
        if text.startswith(_HYPHEN):
            head, tail = self._pieces.cut(_HYPHEN), self._pieces.cut(text[1:])
            return head + tail if head and tail else None
        return self._pieces.cut(text)


def _leaping(graph: WordGraph) -> dict[int, set[int]]:
    """Return for each point the points that are reached from it without a word, itself included."""
    direct: dict[int, set[int]] = defaultdict(set)
    for start, end in graph.leaps:
        direct[start].add(end)
    reached: dict[int, set[int]] = {}
    for point in range(graph.points):
        seen, waiting = {point}, [point]
        while waiting:
            new = direct[waiting.pop()] - seen
            seen |= new
            waiting += new
        reached[point] = seen
    return reached
