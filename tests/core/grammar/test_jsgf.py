"""JSGF: texts by the sections of the W3C note "JSpeech Grammar Format" (2000), and faults with their place."""

from __future__ import annotations

import pytest

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import DEEPEST, Node, parse_expansion, parse_grammar, parse_jsgf, references, written
from assistant.core.grammar.word_graph import word_graph

pytestmark = pytest.mark.pure

COMMANDS = """#JSGF V1.0 ISO8859-1 en;
grammar com.acme.commands;
// Body
public <basicCmd> = <startPolite> <command> <endPolite>;
<command> = <action> <object>;
<action> = /10/ open |/2/ close |/1/ delete |/1/ move;
<object> = [the | a] (window | file | menu);
<startPolite> = (please | kindly | could you | oh mighty computer) *;
<endPolite> = [ please | thanks | thank you ];
"""


def test_the_example_of_command_and_control() -> None:
    # Section 5.1, with the rules of its other grammar in one file, for imports are not read.
    grammar = parse_grammar(COMMANDS, "commands.jsgf")
    assert grammar.public == ("basicCmd",)
    assert list(grammar.rules) == ["basicCmd", "command", "action", "object", "startPolite", "endPolite"]
    assert list(references(grammar.rules["basicCmd"])) == ["startPolite", "command", "endPolite"]
    words = {step.word for step in word_graph(grammar.rules["command"], grammar.rules).steps}
    assert words == {"open", "close", "delete", "move", "the", "a", "window", "file", "menu"}


def test_a_rule_of_this_grammar_by_its_full_name() -> None:
    # Section 2.2: <com.acme.commands.action> and <commands.action> are this grammar's own <action>.
    text = COMMANDS.replace("<action> <object>", "<com.acme.commands.action> <commands.object>")
    assert parse_grammar(text, "g").rules == parse_grammar(COMMANDS, "g").rules


@pytest.mark.parametrize("weight", ["/10/", "/0.5/", "/ 3.14e3 /", "/.5f/", "/1/"])
def test_weights_are_passed_over(weight: str) -> None:
    # Section 4.3: a weight is written as a floating-point number of Java is.
    assert parse_expansion(f"{weight} small | {weight} large") == parse_expansion("small | large")


@pytest.mark.parametrize("tag", ["{USA}", "{}", "{ a tag with spaces }", r"{ a \} within }", "{a} {b}"])
def test_tags_are_passed_over(tag: str) -> None:
    # Section 4.6: a brace inside a tag stands behind a backslash.
    assert parse_expansion(f"(United States) {tag} | America {tag}") == parse_expansion("(United States) | America")


def test_comments_are_passed_over() -> None:
    # Section 2.4
    assert parse_jsgf("/* one\nline */ <a> = b // c ;\n /** doc */ | d;", "g") == parse_jsgf("<a> = b | d;", "g")


def test_quoted_words() -> None:
    # Section 2.3: what is quoted may hold any sign; two words in it are two words to the ear.
    assert parse_expansion('"New York"') == parse_expansion("New York")
    assert parse_expansion(r'"a \"b\""') == Node("all", parts=(Node("word", "a"), Node("word", '"b"')))
    assert parse_expansion('"+"') == Node("word", "+")
    assert parse_expansion("don't") == Node("word", "don't")


@pytest.mark.parametrize("word", ["+", 'say"', "back\\slash", "<x>", "//", "{", "7/8", ";"])
def test_a_word_of_signs_is_read_back_as_it_is_written(word: str) -> None:
    assert parse_expansion(written(Node("word", word))) == Node("word", word)


def test_names_may_hold_signs() -> None:
    # Section 2.2: letters, digits and + - : ; , = | / \ ( ) [ ] @ # % ! ^ & ~ and others
    assert list(parse_jsgf("<1+2=3> = b; <\N{LATIN SMALL LETTER E WITH ACUTE}(x)> = <1+2=3>;", "g")) == [
        "1+2=3",
        "é(x)",
    ]


def test_a_byte_order_mark_is_passed_over() -> None:
    assert parse_grammar("\ufeff" + COMMANDS, "g") == parse_grammar(COMMANDS, "g")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("grammar g;\nimport <other.rule>;", "line 2: imports are not read: put the rules"),
        ("#JSGF V2.0;\n<a> = b;", "line 1: the version 'V2.0' is not known, only V1.0"),
        ("#JSGF V1.0\n", "line 1: 'something' is missing at the end"),
        ("<a> = (b;", r"line 1: '\)' is missing"),
        ("<a> = b;\n\n<a> = c;", "line 3: the rule <a> is defined twice"),
        ("<a> = b;\n<c> = <b>;", "line 2: the rule <b> is not defined; defined are <a>, <c>"),
        ("<a> = b", "is missing at the end"),
        ("a = b;", "a rule such as <name>"),
        ("<NULL> = b;", "<NULL> has a fixed meaning"),
        ("<a> = ;", "empty; <NULL> stands for no word"),
        ("<a> = b | | c;", "empty; <NULL> stands for no word"),
        ('<a> = "";', "quoted word is empty"),
        ("<a> = b **;", r"'\*' is out of place"),
        ("<a> = * b;", r"'\*' is out of place"),
        ("<a> = b {tag;", "line 1: '{' is out of place"),
        ("<a> = " + "(" * (DEEPEST + 1) + "b" + ")" * (DEEPEST + 1) + ";", f"more than {DEEPEST} groups"),
        ("public", "missing at the end"),
    ],
)
def test_faults_name_their_place(text: str, fault: str) -> None:
    with pytest.raises(DataError, match=fault) as caught:
        parse_jsgf(text, "test.jsgf")
    assert str(caught.value).startswith("test.jsgf, line ")
    assert len(caught.value.say.split()) <= 15
