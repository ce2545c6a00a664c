"""All rules, and what they find in a job or a vehicle."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.proof.checks import Place
from assistant.core.proof.rules import ear, heard, kinds, names, parts, safety, sources, vehicles, ways
from assistant.core.proof.rules.rule import Beside, Rule, Severity

Thing = TypeVar("Thing")
OF_JOBS: tuple[Rule[Procedure], ...] = (
    *names.RULES, *kinds.RULES, *parts.RULES, *ways.RULES, *safety.RULES, *sources.RULES_OF_JOBS, *ear.RULES,
    *vehicles.RULES_OF_JOBS, *heard.RULES,
)  # fmt: skip
OF_VEHICLES: tuple[Rule[Vehicle], ...] = (*vehicles.RULES, *sources.RULES_OF_VEHICLES)


def _nothing(thing: object, beside: Beside) -> Iterable[tuple[Place, str]]:
    return ()


FILE: Rule[object] = Rule("file", Severity.FAULT, "What can't be read can't be worked by.",
                          "Name a plain file in UTF-8, of at most 2 MB.", _nothing)  # fmt: skip
YAML: Rule[object] = Rule("yaml", Severity.FAULT, "What is no YAML, or too deep or too much, says nothing sure.",
                          "Compare its signs and spaces with a file that works.", _nothing)  # fmt: skip
KEY_TWICE: Rule[object] = Rule("key-twice", Severity.FAULT, "Of a key that stands twice nobody knows which was meant.",
                               "Give it once.", _nothing)  # fmt: skip
FORM: Rule[object] = Rule("form", Severity.FAULT, "An unknown, missing or wrong field is a slip, and never guessed at.",
                          "Compare it with procedures/README.md.", _nothing)  # fmt: skip
SHORT_FORM: Rule[object] = Rule("short-form", Severity.FAULT, "A group or a loop that can't be unfolded lacks steps.",
                                "Compare it with procedures/README.md.", _nothing)  # fmt: skip
OF_FILES = (FILE, YAML, KEY_TWICE, FORM, SHORT_FORM)
"""Rules that are kept while a file is read: where one is broken, no other can be looked at."""


def found_in(
    thing: Thing, beside: Beside, rules: Iterable[Rule[Thing]], tell: Callable[[str], None] = lambda rule: None
) -> Iterator[tuple[Rule[Thing], Place, str]]:
    """Yield what breaks any of some rules, each with its place; `tell` is told each rule before it is looked at."""
    for rule in rules:
        tell(rule.id)
        for place, what in rule.finds(thing, beside):
            yield rule, place, what


def quick(rules: Iterable[Rule[Thing]]) -> tuple[Rule[Thing], ...]:
    """Return the rules that keep a file from being worked by, and take no time."""
    return tuple(rule for rule in rules if rule.severity is Severity.FAULT and not rule.slow)
