"""How likely it is that the best meaning of all was meant: that any was, times that it was this one. Decides nothing.

Two logistic regressions, for two questions. Whether anything was meant that is allowed is told by the sound and by how
near the best meaning comes to it; whether it was this one, by how the others do. In one regression what the sound told
of a long order made up for one word of it that the engines held less likely than another: of 563 meanings in doubt,
judged by weights that were fitted on others, 447 were taken right with two wrong and 494 with six; with two regressions
478 and 518.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from assistant.core.hearing.verdict.found import Found

MOST_LEAD = 0.2
"""A greater lead over the next meaning, or behind it, makes no difference [nat a letter]."""
MOST_LIKELIER = 4.0
"""Nor does it by how much more the engines hold it likelier than another [nat], nor where meanings are ranked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signs:
    """What tells how likely a meaning was meant.

    Score and lead are for each letter, and a long phrase says more than a short one, though not in proportion: so they
    are multiplied by the logarithm of its length.
    """

    score: float
    """Its score."""
    information: float
    """What the sound tells of it [nat a letter]."""
    likelier: float
    """By how much the engines hold it at least likelier than any other [nat], up to `MOST_LIKELIER` either way."""
    lead: float
    """By how much it scores better than any other, up to `MOST_LEAD` a letter either way: the best need not be it that
    scores best."""
    rare: float
    """By how much more rarely it is said than others [nat]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What each sign adds to the log-odds [nat for each unit of it]: the first three that anything was meant."""

    bias: float
    score: float
    information: float
    likelier: float
    lead: float
    rare: float

    def of_any(self, signs: Signs) -> float:
        """Return how likely it is that anything allowed was meant, where these are the signs of the best, 0 to 1."""
        return _probability(self.bias + self.score * signs.score + self.information * signs.information)

    def of_this(self, signs: Signs) -> float:
        """Return how likely it is that the meaning with these signs was meant, 0 to 1."""
        beside_others = self.likelier * signs.likelier + self.lead * signs.lead + self.rare * signs.rare
        return self.of_any(signs) * _probability(beside_others)


def signs_of(ranked: Sequence[Found], likelier: float, information: float) -> Signs:
    """Return the signs of the best of findings, which is held so much likelier than any other [nat], and of which the
    sound tells so much [nat a letter]."""
    best, *others = ranked
    length = log(1 + len(best.words))
    nearer = best.score - max((other.score for other in others), default=float("-inf"))
    return Signs(
        score=best.score * length,
        information=information,
        likelier=max(-MOST_LIKELIER, min(MOST_LIKELIER, likelier)),
        lead=max(-MOST_LEAD, min(MOST_LEAD, nearer)) * length,
        rare=best.phrase.rare,
    )


def _probability(odds: float) -> float:
    """Return the probability of log-odds."""
    return 1 / (1 + exp(-odds))
