"""Holds all that an expansion allows as a graph of words, with circles where it repeats. Knows no texts, no sounds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Node, Rules, parse_expansion, references

MOST_GRAPHS = 4096
"""So many graphs are kept: those of all phrases of a job with their contraries are fewer, but engines also lay out
every text that they weigh, and with numbers in them there is no end of these."""
MOST_WORDS = 20_000
"""So many words a graph may hold: rules that use rules several times each grow beyond any memory."""


@dataclass(frozen=True, slots=True)
class Step:
    """A word that leads from one point of a graph to another."""

    source: int
    word: str
    target: int
    inside: tuple[str, ...] = ()
    """The rules that the word stands in, outermost first."""

    @property
    def slot(self) -> str | None:
        """The outermost rule that the word stands in."""
        return self.inside[0] if self.inside else None


@dataclass(frozen=True, slots=True)
class WordGraph:
    """All that a phrase allows: paths from point 0 to point 1. What may be said for ever is a circle."""

    steps: tuple[Step, ...]
    leaps: frozenset[tuple[int, int]]
    """Pairs of points between which no word need be said."""
    points: int


def word_graph(node: Node, rules: Rules) -> WordGraph:
    """Return the graph of all that an expansion allows.

    Raises DataError for a rule that is unknown, for one that contains itself elsewhere than at its end, which
    no graph can hold, and for more words than `MOST_WORDS`.
    """
    builder = _Builder(rules)
    try:
        builder.add(node, _Place(0, 1))
    except RecursionError as error:
        raise _wrong("the rules are nested too deeply: put some of them into one") from error
    return WordGraph(tuple(builder.steps), frozenset(builder.leaps), builder.points)


class WordGraphs(dict[str, WordGraph]):
    """The graphs of expansions over the same rules, each laid out when it is asked for; the newest are kept."""

    def __init__(self, rules: Rules) -> None:
        super().__init__()
        self._rules = rules

    def __missing__(self, says: str) -> WordGraph:
        graph = word_graph(parse_expansion(says), self._rules)
        if len(self) >= MOST_GRAPHS:
            del self[next(iter(self))]
        self[says] = graph
        return graph


def _wrong(why: str) -> DataError:
    return DataError(why, say="The grammar is wrong. See the screen.")


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a part goes: from a point to a point, inside which rules, each with its own place."""

    start: int
    end: int
    rules: tuple[tuple[str, _Place], ...] = ()


class _Builder:
    """Lays parts between two points; alternatives share both, so a graph stays small."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules
        self.points = 2
        self.steps: list[Step] = []
        self.leaps: set[tuple[int, int]] = set()

    def add(self, node: Node, place: _Place) -> None:
        match node.kind:
            case "word":
                self._word(node.text, place)
            case "all":
                between = [self._point() for _ in node.parts[1:]]
                for part, start, end in zip(node.parts, [place.start, *between], [*between, place.end], strict=True):
                    self.add(part, replace(place, start=start, end=end))
            case "any":
                for part in node.parts:
                    self.add(part, place)
            case "maybe":
                self.leaps.add((place.start, place.end))
                self.add(node.parts[0], place)
            case "many":
                self._circle(node.parts[0], place)
            case _:
                self._rule(node.text, place)

    def _word(self, word: str, place: _Place) -> None:
        if len(self.steps) == MOST_WORDS:
            raise _wrong(f"the grammar holds more than {MOST_WORDS} words, each use of a rule counted: use fewer rules")
        self.steps.append(Step(place.start, word, place.end, tuple(name for name, _ in place.rules)))

    def _circle(self, node: Node, place: _Place) -> None:
        """Lay a part between two points of its own and a leap back: as often as one likes, but once at least."""
        first, last = self._point(), self._point()
        self.leaps |= {(place.start, first), (last, first), (last, place.end)}
        self.add(node, replace(place, start=first, end=last))

    def _point(self) -> int:
        self.points += 1
        return self.points - 1

    def _rule(self, name: str, place: _Place) -> None:
        around = dict(place.rules).get(name)
        if name == "NULL":
            self.leaps.add((place.start, place.end))
        elif name == "VOID":
            return
        elif around and around.end == place.end:  # at its own end a rule only begins again
            self.leaps.add((place.start, around.start))
        elif around:
            raise _wrong(f"the rule <{name}> contains itself before its end: write what repeats with * or +")
        elif name not in self._rules:
            raise _wrong(f"the rule <{name}> is not known; known are {', '.join(sorted(self._rules))}")
        else:
            if self._contains_itself(name):  # others may share the start, and are not to be begun again
                first = self._point()
                self.leaps.add((place.start, first))
                place = replace(place, start=first)
            self.add(self._rules[name], replace(place, rules=(*place.rules, (name, place))))

    def _contains_itself(self, name: str) -> bool:
        reached: set[str] = set()
        waiting = [name]
        while waiting:
            node = self._rules.get(waiting.pop())
            new = {*references(node)} - reached if node else set()
            reached |= new
            waiting += new
        return name in reached
