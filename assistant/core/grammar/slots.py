"""Holds which words of a phrase were said in which rule of the grammar. Never makes values of them."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.core.grammar.word_graph import Step


def slots_of(steps: Sequence[Step], depth: int | None = 1) -> tuple[tuple[str, str], ...]:
    """Return each rule that was gone through with the words said in it, in the order in which they begin.

    Rules inside of rules are told down to a depth, an outer one before its inner ones; None means all. What
    one rule takes up again at once, as in `<digit>+`, is one slot of several words.
    """
    found: list[tuple[str, list[str]]] = []
    inside: list[tuple[str, list[str]]] = []
    for step in steps:
        names = step.inside[:depth]
        same = _in_common([name for name, _ in inside], names)
        entered = [(name, list[str]()) for name in names[same:]]
        inside = [*inside[:same], *entered]
        found += entered
        for _, words in inside:
            words.append(step.word)
    return tuple((name, " ".join(words)) for name, words in found)


def _in_common(one: Sequence[str], other: Sequence[str]) -> int:
    """Return how many names two sequences have in common at their beginning."""
    differing = (place for place, (left, right) in enumerate(zip(one, other, strict=False)) if left != right)
    return next(differing, min(len(one), len(other)))
