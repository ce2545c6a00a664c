"""How findings that affirm and findings that deny stand to each other. Knows no sounds and no texts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.core.grammar.word_graph import Step
from assistant.core.hearing.contraries.made import DENIED, denied
from assistant.core.hearing.verdict.found import Found
from assistant.core.types import Phrase


def denies(phrase: Phrase, other: Phrase) -> bool:
    """Return whether a phrase denies another one, or whatever was asked."""
    return phrase.intent == DENIED and phrase.option in (None, denied(other))


def undenied(found: Sequence[Found]) -> list[Found]:
    """Return findings without those denials whose very words are an allowed phrase that is no denial."""
    said = {one.words for one in found if one.phrase.intent != DENIED}
    return [one for one in found if one.phrase.intent != DENIED or one.words not in said]


def ranked_by_evidence(found: Iterable[Found]) -> list[Found]:
    """Return findings, likeliest first; where that one denies, without other denials: which of them it was matters
    less than that nothing is affirmed."""
    ranked = sorted(found, key=lambda one: -one.evidence)
    denies = bool(ranked) and ranked[0].phrase.intent == DENIED
    return [one for one in ranked if one is ranked[0] or not denies or one.phrase.intent != DENIED]


def contrary_found(best: Found, words: Sequence[str]) -> Found:
    """Return a denial of a finding in words that no phrase foresees."""
    phrase = Phrase(DENIED, " ".join(words), denied(best.phrase))
    steps = tuple(Step(place, word, place + 1) for place, word in enumerate(words))
    return Found(phrase, steps, best.score, best.evidence)
