"""Holds what the public rules of a grammar let a person say, as phrases. Never says what follows from it."""

from __future__ import annotations

from assistant.core.errors import DataError
from assistant.core.grammar.jsgf import SPECIAL, Grammar, Node, references, written
from assistant.core.grammar.word_graph import word_graph
from assistant.core.types import Phrase


def phrases_of(grammar: Grammar, name: str) -> tuple[Phrase, ...]:
    """Return each alternative of each public rule as a phrase whose intent is the rule.

    What tells two meanings apart are the slots, the rules that a phrase refers to; where an alternative has no
    slot, it is a meaning of its own. Raises DataError where no rule is public, or no graph can hold one.
    """
    if not grammar.public:
        message = f"{name}: no rule is public: write `public` before each rule that may be said as it is"
        raise DataError(message, say="The grammar allows nothing. See the screen.")
    try:
        for rule in grammar.public:
            word_graph(grammar.rules[rule], grammar.rules)
    except DataError as error:
        raise DataError(f"{name}: {error}", say=error.say) from error
    return tuple(
        Phrase(rule, written(alternative), None if _has_slots(alternative) else written(alternative))
        for rule in grammar.public
        for alternative in _alternatives(grammar.rules[rule])
    )


def _alternatives(node: Node) -> tuple[Node, ...]:
    return node.parts if node.kind == "any" else (node,)


def _has_slots(node: Node) -> bool:
    return any(name not in SPECIAL for name in references(node))
