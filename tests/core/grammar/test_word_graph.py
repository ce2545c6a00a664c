"""Checks what a graph of words allows, with regular expressions (Python's `re`) as the reference.

The grammars are examples of the W3C note "JSpeech Grammar Format" (2000), named by section. Those of 4.8, 4.9 and 5.1
were compared with what public programs quote of them; the others come from memory.
"""

from __future__ import annotations

import re
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import Node, Rules, parse_expansion, parse_jsgf, written
from assistant.core.grammar.word_graph import MOST_WORDS, WordGraph, word_graph

pytestmark = pytest.mark.pure


def allows(graph: WordGraph, words: tuple[str, ...]) -> bool:
    """Whether a graph allows a sentence: all points that its words lead to, one after the other."""
    points = leapt(graph, {0})
    for word in words:
        points = leapt(graph, {step.target for step in graph.steps if step.source in points and step.word == word})
    return 1 in points


def leapt(graph: WordGraph, points: set[int]) -> set[int]:
    while new := {end for start, end in graph.leaps if start in points} - points:
        points = points | new
    return points


def assert_allows_what_matches(expansion: str, pattern: str, rules: Rules, longest: int = 5) -> None:
    """Compare with the pattern every sentence of up to so many words; in patterns a word is one letter."""
    graph = word_graph(parse_expansion(expansion), rules)
    vocabulary = sorted({step.word for step in graph.steps})
    letters = dict(zip(vocabulary, "abcdefghijklmnopqrstuvwxyz", strict=False))
    for word in sorted(vocabulary, key=len, reverse=True):
        pattern = re.sub(rf"\b{word}\b(?!')", letters[word].upper(), pattern)
    reference = re.compile(pattern.replace(" ", "").lower())
    for length in range(longest + 1):
        for words in product(vocabulary, repeat=length):
            sentence = "".join(letters[word] for word in words)
            assert allows(graph, words) == bool(reference.fullmatch(sentence)), words


POLITE = """
#JSGF V1.0 ISO8859-1 en;
grammar com.acme.politeness;
/** a rule of documentation */
public <startPolite> = (please | kindly | could you | oh mighty computer) *;
public <endPolite> = [ please | thanks | thank you ];
<polite> = please | kindly;
<size> = /10/ small | /2/ medium | /1/ large;
<action> = stop | start;
<command> = <action> | (<action> and <command>);
<something> = other <another> | some;
<another> = one <something> | more;
<v> = a | <VOID>;
<w> = a <VOID> | b;
<n> = <NULL> | a;
"""


@pytest.mark.parametrize(
    ("expansion", "pattern"),
    [
        ("<startPolite>", "(please|kindly|could you|oh mighty computer)*"),  # 5.1
        ("<endPolite>", "(please|thanks|thank you)?"),  # 5.1
        ("<size>", "small|medium|large"),  # 4.3: weights change nothing in what may be said
        ("open (the | a) door", "open(the|a)door"),  # 4.4
        ("[<polite>] crash", "(please|kindly)?crash"),  # 4.4
        ("<polite>* crash", "(please|kindly)*crash"),  # 4.5
        ("<polite>+ crash", "(please|kindly)+crash"),  # 4.5
        ("(<polite> | now+)* crash", "((please|kindly)|now+)*crash"),  # 4.5
        ("a | b c | d", "a|bc|d"),  # 4.7: a sequence binds closer than an alternative
        ("a b* c", "ab*c"),  # 4.7: a repeat binds closest
        ("a {tag} | b {t\\}ag}", "a|b"),  # 4.6
        ("<command>", "(stop|start)(and(stop|start))*"),  # 4.8: recursion at the right end
        ("x (<command> | y)", "x((stop|start)(and(stop|start))*|y)"),
        ("<something>", "(other one)*(some|other more)"),  # 4.8: nested recursion at the right end
        ("<v> b", "ab"),  # 4.9
        ("<w>", "b"),  # 4.9
        ("<n> b", "a?b"),  # 4.9
        ("[a | <NULL>]+ b", "a*b"),
        ("<VOID>", "(?!)"),
    ],
)
def test_a_graph_allows_what_the_note_says(expansion: str, pattern: str) -> None:
    rules = parse_jsgf(POLITE, "polite.jsgf")
    longest = 7 if "x (" in expansion else 5
    assert_allows_what_matches(expansion, pattern, rules, longest)


def expansions() -> st.SearchStrategy[Node]:
    words = st.sampled_from([Node("word", letter) for letter in "ab"])

    def larger(parts: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
        several = st.lists(parts, min_size=2, max_size=3).map(tuple)
        return st.one_of(
            st.builds(Node, st.sampled_from(["all", "any"]), parts=several),
            st.builds(Node, st.sampled_from(["maybe", "many"]), parts=st.tuples(parts)),
        )

    return st.recursive(words, larger, max_leaves=6)


def pattern_of(node: Node) -> str:
    inner = [f"(?:{pattern_of(part)})" for part in node.parts]
    match node.kind:
        case "word":
            return node.text
        case "all":
            return "".join(inner)
        case "any":
            return "|".join(inner)
        case "maybe":
            return f"{inner[0]}?"
        case _:
            return f"{inner[0]}+"


@given(expansions())
def test_any_expansion_allows_what_its_regular_expression_matches(node: Node) -> None:
    graph, reference = word_graph(node, {}), re.compile(pattern_of(node))
    for length in range(5):
        for words in product("ab", repeat=length):
            assert allows(graph, words) == bool(reference.fullmatch("".join(words)))


@given(expansions())
def test_an_expansion_is_read_back_as_it_is_written(node: Node) -> None:
    assert parse_expansion(written(node)) == node


def test_without_end_a_graph_stays_small() -> None:
    rules = parse_jsgf("<digit> = one | two | three;", "d")
    graph = word_graph(parse_expansion("call (<digit>+ | nobody)* now"), rules)
    assert len(graph.steps) == 6
    assert allows(graph, ("call", *["one", "two", "nobody"] * 500, "now"))


def test_a_word_knows_the_rules_that_it_stands_in() -> None:
    rules = parse_jsgf("<number> = <digit> | ten; <digit> = one | two;", "n")
    graph = word_graph(parse_expansion("pour <number> litres"), rules)
    assert {(step.word, step.inside, step.slot) for step in graph.steps} == {
        ("pour", (), None), ("one", ("number", "digit"), "number"), ("two", ("number", "digit"), "number"),
        ("ten", ("number",), "number"), ("litres", (), None),
    }  # fmt: skip


@pytest.mark.parametrize(
    "text", ["<a> = <a> b | c;", "<a> = b <a> c | d;", "<a> = <b> x | y; <b> = z | <a>;", "<a> = b | (<a>)+;"]
)
def test_a_rule_that_contains_itself_before_its_end_is_refused(text: str) -> None:
    # 4.8: such grammars are no regular ones, and a recogniser need not take them.
    with pytest.raises(DataError, match="contains itself before its end"):
        word_graph(parse_expansion("<a>"), parse_jsgf(text, "g"))


def test_rules_that_grow_beyond_any_memory_are_refused() -> None:
    text = "<r0> = a b;" + "".join(f"<r{n + 1}> = <r{n}> <r{n}>;" for n in range(30))
    with pytest.raises(DataError, match=f"more than {MOST_WORDS} words"):
        word_graph(parse_expansion("<r30>"), parse_jsgf(text, "g"))


def test_a_chain_of_rules_that_is_too_long_is_refused() -> None:
    text = "<r0> = a;" + "".join(f"<r{n + 1}> = b <r{n}>;" for n in range(2000))
    with pytest.raises(DataError, match="nested too deeply"):
        word_graph(parse_expansion("<r2000>"), parse_jsgf(text, "g"))


def test_a_rule_that_is_unknown_names_those_that_are_known() -> None:
    with pytest.raises(DataError, match="<b> is not known; known are a"):
        word_graph(parse_expansion("<b>"), {"a": Node("word", "a")})
