"""Hypotheses to an intent: the matcher's finding, with its numbers made exact. Refuses what it can't be sure of."""

from __future__ import annotations

from assistant.core.hearing.verdict.found import Found, Match
from assistant.core.quantities.numbers import value_of
from assistant.core.types import Intent, Understanding, Verdict


def understand(match: Match, system: str) -> Understanding:
    """Return what the person means, and how sure that is.

    Raises `ReadingError` where the words are clear but their number or unit can't be taken exactly.
    """
    return Understanding(
        verdict=match.verdict,
        intent=_intent(match.best, system, taken=match.verdict is Verdict.ACCEPTED) if match.best else None,
        runner_up=_intent(match.runner_up, system) if match.runner_up else None,
        score=match.best.score if match.best else float("-inf"),
        margin=match.margin,
        heard=match.heard,
        noisy=match.noisy,
    )


WORDS_ALONE = ("number", "unit")
"""Rules that are a part of a value only: whoever asked for it makes something of the words."""


def _intent(found: Found, system: str, *, taken: bool = False) -> Intent:
    """Return what a finding means; a number that is not taken is left as words."""
    slot, words = next(iter(found.slots), ("", ""))
    value = value_of(slot, words, system) if words and slot not in WORDS_ALONE and taken else None
    return Intent(found.phrase.intent, found.words, value, found.phrase.option)
