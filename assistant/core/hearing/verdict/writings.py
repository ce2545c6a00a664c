"""What the engines wrote, as different texts in words, each with how likely it is. Knows no phrases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assistant.core.quantities.figures import written_as_words
from assistant.core.types import Hypothesis

_BEFORE = frozenset(["um", "uh", "er", "erm", "okay", "ok", "so", "well", "hey", "right", "now", "and", "please", "oh"])
_AFTER = frozenset(["please", "now", "thanks", "um", "uh", "er", "okay", "ok"])
EXTRA_TOKENS = 3
"""Tokens of a text beside its words, to come from a mean log-probability to the whole one: a rough count."""


@dataclass(frozen=True, slots=True)
class Writing:
    """A text in words that an engine wrote."""

    text: str
    doubt: float
    """The engine's own mean log-probability."""
    likelihood: float
    """How much less likely it is than the likeliest text; that one has 0 [nat]."""


def writings_of(hypotheses: Sequence[Hypothesis]) -> list[Writing]:
    """Return the different texts, also without filler at the edges; spellings of one text count together."""
    doubts: dict[str, float] = {}
    likelihoods: dict[str, float] = {}
    totals: dict[str, float] = {}
    for hypothesis in hypotheses:
        words = written_as_words(hypothesis.text).split()
        likelihood = hypothesis.score * (len(words) + EXTRA_TOKENS)
        totals[hypothesis.engine] = _sum(totals.get(hypothesis.engine), likelihood)
    for hypothesis in hypotheses:
        words = written_as_words(hypothesis.text).split()
        likelihood = hypothesis.score * (len(words) + EXTRA_TOKENS) - totals[hypothesis.engine]
        for text in {" ".join(words), " ".join(_bare(words))} - {""}:
            doubts[text] = max(doubts.get(text, hypothesis.score), hypothesis.score)
            likelihoods[text] = _sum(likelihoods.get(text), likelihood)
    likeliest = max(likelihoods.values(), default=0.0)
    return [Writing(text, doubts[text], likelihoods[text] - likeliest) for text in doubts]


def _sum(one: float | None, other: float) -> float:
    """Return the logarithm of the sum of two probabilities given by theirs."""
    return other if one is None else float(np.logaddexp(one, other))


def _bare(words: Sequence[str]) -> Sequence[str]:
    """Return the words without filler at the edges."""
    start, end = 0, len(words)
    while start < end and words[start] in _BEFORE:
        start += 1
    while end > start and words[end - 1] in _AFTER:
        end -= 1
    return words[start:end]
