"""JSGF (W3C note "JSpeech Grammar Format", 2000): text to rules, and back. Knows nothing of graphs or sounds.

Read are rule definitions, alternatives, groups, options, repeats, rule references and quoted words;
weights and tags are passed over. Imports are refused: a grammar is one file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from assistant.core.errors import DataError

SPECIAL = ("NULL", "VOID")
"""Rules that every grammar has: what is said without a word, and what can't be said."""
DEEPEST = 40
"""So many groups may stand inside each other."""

_TOKEN = re.compile(
    r"""(?P<skip>\s+|//[^\n]*|/\*.*?\*/|/\s*[0-9.]+(?:e[-+]?[0-9]+)?[fd]?\s*/|\{(?:[^{}\\]|\\.)*\})
      | (?P<rule><[^<>\s]+>) | (?P<quoted>"(?:[^"\\]|\\.)*") | (?P<sign>[()\[\]|*+;=])
      | (?P<word>[^\s()\[\]|*+;=<>"/{}]+)""",
    re.VERBOSE | re.DOTALL | re.IGNORECASE,
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
class Grammar:
    """The rules of a file, and which of them may be said."""

    rules: Rules
    public: tuple[str, ...]


def parse_grammar(text: str, name: str) -> Grammar:
    """Return the rules of a JSGF file; DataError names the file and the line."""
    return _Parser(text.removeprefix("\ufeff"), name).grammar()


def parse_jsgf(text: str, name: str) -> Rules:
    """Return the rules of a JSGF file, each by name; DataError names the file and the line."""
    return parse_grammar(text, name).rules


@lru_cache(maxsize=8192)  # texts that are weighed come here too, and of those there is no end
def parse_expansion(text: str) -> Node:
    """Return one expansion, for instance of a phrase; DataError quotes it."""
    parser = _Parser(text, repr(text))
    node = parser.alternatives()
    if parser.peek():
        parser.fail(f"{parser.peek()!r} is out of place")
    return node


def written(node: Node) -> str:
    """Return an expansion as text that `parse_expansion` reads back."""
    match node.kind:
        case "word":
            return node.text if _is_plain(node.text) else '"' + re.sub(r'(["\\])', r"\\\1", node.text) + '"'
        case "rule":
            return f"<{node.text}>"
        case "all":
            return " ".join(_grouped(part, "all", "any") for part in node.parts)
        case "any":
            return " | ".join(_grouped(part, "any") for part in node.parts)
        case "many":
            return _grouped(node.parts[0], "all", "any", "many") + "+"
        case _:
            return f"[{written(node.parts[0])}]"


def _is_plain(word: str) -> bool:
    match = _TOKEN.fullmatch(word)
    return match is not None and match.lastgroup == "word"


def _grouped(node: Node, *kinds: str) -> str:
    return f"({written(node)})" if node.kind in kinds else written(node)


def references(node: Node) -> Iterator[str]:
    """Yield the names of the rules that a part refers to."""
    if node.kind == "rule":
        yield node.text
    for part in node.parts:
        yield from references(part)


class _Parser:
    """Recursive descent over the tokens of one text."""

    def __init__(self, text: str, name: str) -> None:
        self._text = text
        self._name = name
        self._tokens = list(self._split())
        self._index = 0
        self._depth = 0
        self._own = ""
        self._used: dict[str, int] = {}
        """Where each rule is first referred to."""

    def _split(self) -> Iterator[tuple[str, int]]:
        position = 0
        while position < len(self._text):
            match = _TOKEN.match(self._text, position)
            if not match:
                raise self._wrong(position, f"{self._text[position]!r} is out of place")
            if match.lastgroup != "skip":
                yield match.group(), position
            position = match.end()

    def _wrong(self, position: int, why: str) -> DataError:
        line = self._text.count("\n", 0, position) + 1
        return DataError(f"{self._name}, line {line}: {why}", say="The grammar is wrong. See the screen.")

    def peek(self) -> str:
        return self._tokens[self._index][0] if self._index < len(self._tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            self.fail(f"{wanted or 'something'!r} is missing" + (f" before {token!r}" if token else " at the end"))
        self._index += 1
        return token

    def fail(self, why: str, index: int | None = None) -> None:
        last = min(self._index if index is None else index, len(self._tokens) - 1)
        raise self._wrong(self._tokens[last][1] if self._tokens else 0, why)

    def grammar(self) -> Grammar:
        rules: dict[str, Node] = {}
        public: list[str] = []
        self._header()
        while self.peek():
            may_be_said = self.peek() == "public"
            if may_be_said:
                self.take()
            name = self._name_of_rule(rules)
            rules[name] = self._body()
            if may_be_said:
                public.append(name)
        for name, index in self._used.items():
            if name not in rules and name not in SPECIAL:
                known = ", ".join(f"<{rule}>" for rule in rules)
                self.fail(f"the rule <{name}> is not defined; defined are {known}", index)
        return Grammar(rules, tuple(public))

    def _header(self) -> None:
        if self.peek().upper() == "#JSGF":
            self.take()
            if self.peek() != "V1.0":
                self.fail(f"the version {self.peek()!r} is not known, only V1.0 is")
            while self.take() != ";":
                pass
        if self.peek() == "grammar":
            self.take()
            self._own = self.take()
            self.take(";")
        if self.peek() == "import":
            self.fail("imports are not read: put the rules that are wanted into this file, and take the import out")

    def _name_of_rule(self, known: Rules) -> str:
        token = self.take()
        name = token[1:-1]
        if not token.startswith("<"):
            self.fail(f"a rule such as <name> is wanted, not {token!r}", self._index - 1)
        if name in known:
            self.fail(f"the rule {token} is defined twice", self._index - 1)
        if name in SPECIAL:
            self.fail(f"the rule {token} has a fixed meaning: give this one another name", self._index - 1)
        return name

    def _body(self) -> Node:
        self.take("=")
        node = self.alternatives()
        self.take(";")
        return node

    def alternatives(self) -> Node:
        parts = [self._sequence()]
        while self.peek() == "|":
            self.take()
            parts.append(self._sequence())
        return parts[0] if len(parts) == 1 else Node("any", parts=tuple(parts))

    def _sequence(self) -> Node:
        parts = []
        while self.peek() and self.peek() not in ("|", ")", "]", ";"):
            parts.append(self._repeated())
        if not parts:
            self.fail("an expansion is empty; <NULL> stands for no word")
        return parts[0] if len(parts) == 1 else Node("all", parts=tuple(parts))

    def _repeated(self) -> Node:
        node = self._single()
        if self.peek() not in ("*", "+"):
            return node
        many = Node("many", parts=(node,))
        return many if self.take() == "+" else Node("maybe", parts=(many,))

    def _single(self) -> Node:
        token = self.take()
        if token in "([":
            return self._group(")" if token == "(" else "]")
        if token.startswith("<"):
            name = self._local(token[1:-1])
            self._used.setdefault(name, self._index - 1)
            return Node("rule", name)
        if token in "*+=":
            self.fail(f"{token!r} is out of place", self._index - 1)
        return self._words(re.sub(r"\\(.)", r"\1", token[1:-1]) if token.startswith('"') else token)

    def _group(self, end: str) -> Node:
        self._depth += 1
        if self._depth > DEEPEST:
            self.fail(f"more than {DEEPEST} groups stand inside each other: make a rule of an inner one")
        inside = self.alternatives()
        self.take(end)
        self._depth -= 1
        return inside if end == ")" else Node("maybe", parts=(inside,))

    def _local(self, name: str) -> str:
        """Return a name without the name of this very grammar before it, whole or its last part."""
        for own in (self._own, self._own.rpartition(".")[2]):
            if own and name.startswith(f"{own}."):
                return name.removeprefix(f"{own}.")
        return name

    def _words(self, text: str) -> Node:
        words = [Node("word", word.lower()) for word in text.split()]
        if not words:
            self.fail("a quoted word is empty; <NULL> stands for no word", self._index - 1)
        return words[0] if len(words) == 1 else Node("all", parts=tuple(words))
