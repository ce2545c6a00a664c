"""JSGF: the constructs of the W3C note "JSpeech Grammar Format" (2000), and faults with their place."""

from __future__ import annotations

import pytest

from assistant.core.errors import DataError
from assistant.core.hearing.grammar import Rules, WordGraph, parse_expansion, parse_jsgf, vocabulary, word_graph

pytestmark = pytest.mark.pure


def sentences(graph: WordGraph) -> set[str]:
    """All sentences of a small graph."""
    found: set[str] = set()

    def walk(point: int, words: tuple[str, ...]) -> None:
        if point == 1:
            found.add(" ".join(words))
        for start, end in graph.leaps:
            if start == point:
                walk(end, words)
        for step in graph.steps:
            if step.source == point:
                walk(step.target, (*words, step.word))

    walk(0, ())
    return found


def all_of(text: str, rules: Rules | None = None) -> set[str]:
    return sentences(word_graph(parse_expansion(text), rules or {}))


def test_sequences_alternatives_groups_and_options() -> None:
    assert all_of("open | close") == {"open", "close"}
    assert all_of("please (open | close) [the] window") == {
        "please open window", "please close window", "please open the window", "please close the window",
    }  # fmt: skip
    assert all_of("[a] b [c]") == {"b", "a b", "b c", "a b c"}


def test_repeats() -> None:
    assert all_of("very+ good") == {" ".join(["very"] * count + ["good"]) for count in range(1, 9)}
    assert "good" in all_of("very* good")


def test_rules_weights_tags_quotes_and_comments() -> None:
    rules = parse_jsgf(
        "#JSGF V1.0 UTF-8 en;\ngrammar test;\n// a comment\n/* another */\n"
        'public <command> = <action> "the" <object>;\n'
        "<action> = /10/ open {OPEN} | /1/ close {CLOSE};\n<object> = window | door;",
        "test.jsgf",
    )
    assert all_of("<command>", rules) == {f"{action} the {thing}" for action in ("open", "close")
                                          for thing in ("window", "door")}  # fmt: skip
    assert vocabulary(parse_expansion("<command>"), rules) == {"open", "close", "the", "window", "door"}


def test_the_outermost_rule_is_the_slot() -> None:
    rules = parse_jsgf("<number> = <digit>; <digit> = one | two;", "n")
    graph = word_graph(parse_expansion("pour <number> litres"), rules)
    assert {(step.word, step.slot) for step in graph.steps} == {
        ("pour", None), ("one", "number"), ("two", "number"), ("litres", None),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("grammar g;\nimport <other.rule>;", "line 2: imports"),
        ("<a> = (b;", r"line 1: '\)' is missing"),
        ("<a> = b;\n<a> = c;", "defined twice"),
        ("<a> = <b>;", "<b>, which is not defined"),
        ("<a> = b", "is missing at the end"),
        ("a = b;", "a rule such as <name>"),
        ("<a> = ;", "empty"),
    ],
)
def test_faults_name_their_place(text: str, fault: str) -> None:
    with pytest.raises(DataError, match=fault):
        parse_jsgf(text, "test.jsgf")


def test_a_rule_that_contains_itself_is_refused() -> None:
    rules = parse_jsgf("<a> = b <a>;", "g")
    with pytest.raises(DataError, match="contains itself"):
        word_graph(parse_expansion("<a>"), rules)
