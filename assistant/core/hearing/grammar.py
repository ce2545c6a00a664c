"""JSGF (W3C note, 2000): text to rules, and rules to a graph of words. Knows nothing of sounds.

Read are rule definitions, alternatives, groups, options, repeats, rule references and quoted words;
weights and tags are passed over. Imports are refused: a grammar is one file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from assistant.core.errors import DataError

MOST_REPEATS = 8
"""How often `*` and `+` repeat at most: a graph without circles is searched in bounded time."""

_TOKEN = re.compile(
    r"""(?P<skip>\s+|//[^\n]*|/\*.*?\*/|/\s*[0-9.]+\s*/|\{(?:[^{}\\]|\\.)*\})
      | (?P<rule><[^<>\s]+>) | (?P<quoted>"[^"]*") | (?P<sign>[()\[\]|*+;=]) | (?P<word>[^\s()\[\]|*+;=<>"/{}]+)""",
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Node:
    """A part of an expansion: `word`, `rule`, `all` (in order), `any` (one of), `maybe`, or `many` (one or more)."""

    kind: str
    text: str = ""
    parts: tuple[Node, ...] = ()


Rules = Mapping[str, Node]
"""The rules of a grammar by name, without the angle brackets."""


@dataclass(frozen=True, slots=True)
class Step:
    """A word that leads from one point of a graph to another."""

    source: int
    word: str
    target: int
    slot: str | None
    """The outermost rule that the word stands in."""


@dataclass(frozen=True, slots=True)
class WordGraph:
    """All that a phrase allows: paths from point 0 to point 1, without circles."""

    steps: tuple[Step, ...]
    leaps: frozenset[tuple[int, int]]
    """Pairs of points between which no word need be said."""
    points: int


def parse_jsgf(text: str, name: str) -> dict[str, Node]:
    """Return the rules of a JSGF file, each by name; DataError names the file and the line."""
    parser = _Parser(text, name)
    rules: dict[str, Node] = {}
    parser.header()
    while parser.peek():
        rule, node = parser.definition()
        if rule in rules:
            parser.fail(f"the rule <{rule}> is defined twice")
        rules[rule] = node
    for rule, node in rules.items():
        for wanted in references(node):
            if wanted not in rules and wanted not in ("NULL", "VOID"):
                raise DataError(f"{name}: the rule <{rule}> uses <{wanted}>, which is not defined")
    return rules


@cache
def parse_expansion(text: str) -> Node:
    """Return one expansion, for instance of a phrase; DataError quotes it."""
    parser = _Parser(text, repr(text))
    node = parser.alternatives()
    if parser.peek():
        parser.fail(f"{parser.peek()!r} is out of place")
    return node


def references(node: Node) -> Iterator[str]:
    """Yield the names of the rules that a part refers to."""
    if node.kind == "rule":
        yield node.text
    for part in node.parts:
        yield from references(part)


def vocabulary(node: Node, rules: Rules) -> frozenset[str]:
    """Return all words that an expansion can hold; rules that are unknown hold none."""
    own = {node.text} if node.kind == "word" else set()
    if node.kind == "rule" and node.text in rules:
        own |= vocabulary(rules[node.text], rules)
    return frozenset(own.union(*(vocabulary(part, rules) for part in node.parts)))


class _Parser:
    """Recursive descent over the tokens of one text."""

    def __init__(self, text: str, name: str) -> None:
        self._text = text
        self._name = name
        self._tokens = list(self._split())
        self._index = 0

    def _split(self) -> Iterator[tuple[str, int]]:
        position = 0
        while position < len(self._text):
            match = _TOKEN.match(self._text, position)
            if not match:
                line = self._text.count("\n", 0, position) + 1
                raise DataError(f"{self._name}, line {line}: {self._text[position]!r} is out of place")
            if match.lastgroup != "skip":
                yield match.group(), position
            position = match.end()

    def peek(self) -> str:
        return self._tokens[self._index][0] if self._index < len(self._tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            self.fail(f"{wanted or 'something'!r} is missing" + (f" before {token!r}" if token else " at the end"))
        self._index += 1
        return token

    def fail(self, why: str) -> None:
        place = self._tokens[min(self._index, len(self._tokens) - 1)][1] if self._tokens else 0
        raise DataError(f"{self._name}, line {self._text.count(chr(10), 0, place) + 1}: {why}")

    def header(self) -> None:
        if self.peek().startswith("#JSGF"):
            while self.take() != ";":
                pass
        while self.peek() in ("grammar", "import"):
            if self.peek() == "import":
                self.fail("imports are not read: put the rules into this file")
            while self.take() != ";":
                pass

    def definition(self) -> tuple[str, Node]:
        if self.peek() == "public":
            self.take()
        name = self.take()
        if not name.startswith("<"):
            self._index -= 1
            self.fail(f"a rule such as <name> is wanted, not {name!r}")
        self.take("=")
        node = self.alternatives()
        self.take(";")
        return name[1:-1], node

    def alternatives(self) -> Node:
        parts = [self.sequence()]
        while self.peek() == "|":
            self.take()
            parts.append(self.sequence())
        return parts[0] if len(parts) == 1 else Node("any", parts=tuple(parts))

    def sequence(self) -> Node:
        parts = []
        while self.peek() and self.peek() not in ("|", ")", "]", ";"):
            parts.append(self.repeated())
        if not parts:
            self.fail("an expansion is empty")
        return parts[0] if len(parts) == 1 else Node("all", parts=tuple(parts))

    def repeated(self) -> Node:
        node = self.single()
        while self.peek() in ("*", "+"):
            many = Node("many", parts=(node,))
            node = many if self.take() == "+" else Node("maybe", parts=(many,))
        return node

    def single(self) -> Node:
        token = self.take()
        if token in "([":
            inside = self.alternatives()
            self.take(")" if token == "(" else "]")
            return inside if token == "(" else Node("maybe", parts=(inside,))
        if token.startswith("<"):
            return Node("rule", token[1:-1])
        if token in "*+=":
            self._index -= 1
            self.fail(f"{token!r} is out of place")
        words = [Node("word", word.lower()) for word in token.strip('"').split()]
        return words[0] if len(words) == 1 else Node("all", parts=tuple(words))


def word_graph(node: Node, rules: Rules) -> WordGraph:
    """Return the graph of all that an expansion allows; DataError for a rule that is unknown or contains itself."""
    builder = _Builder(rules)
    builder.add(node, _Place(0, 1))
    return WordGraph(tuple(builder.steps), frozenset(builder.leaps), builder.points)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a part goes: from a point to a point, in which slot, inside which rules."""

    start: int
    end: int
    slot: str | None = None
    inside: tuple[str, ...] = ()


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
                self.steps.append(Step(place.start, node.text, place.end, place.slot))
            case "all":
                self._chain(node.parts, place)
            case "any":
                for part in node.parts:
                    self.add(part, place)
            case "maybe":
                self.leaps.add((place.start, place.end))
                self.add(node.parts[0], place)
            case "many":
                for point in self._chain(node.parts * MOST_REPEATS, place):
                    self.leaps.add((point, place.end))
            case _:
                self._rule(node.text, place)

    def _chain(self, parts: tuple[Node, ...], place: _Place) -> list[int]:
        between = [self._point() for _ in parts[1:]]
        for part, start, end in zip(parts, [place.start, *between], [*between, place.end], strict=True):
            self.add(part, replace(place, start=start, end=end))
        return between

    def _point(self) -> int:
        self.points += 1
        return self.points - 1

    def _rule(self, name: str, place: _Place) -> None:
        if name == "NULL":
            self.leaps.add((place.start, place.end))
        elif name in place.inside:
            raise DataError(f"the rule <{name}> contains itself")
        elif name not in self._rules:
            raise DataError(f"the rule <{name}> is not known; known are {', '.join(sorted(self._rules))}")
        else:
            self.add(self._rules[name], replace(place, slot=place.slot or name, inside=(*place.inside, name)))
