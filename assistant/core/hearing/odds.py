"""How likely it is that the best meaning of all was meant: the log-odds of a logistic regression. Decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from math import exp, log

from assistant.core.hearing.found import Found

MOST_LEAD = 0.2
"""A greater lead over the next meaning makes no difference [nat a letter]: with 0.5 what was far from everything, but
not so far from one phrase, was taken for it ("is the torque still open")."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What each of the `signs_of` a meaning adds to the log-odds [nat for each unit of the sign]."""

    bias: float
    score: float
    lead: float
    length: float
    rare: float

    def probability(self, signs: Sequence[float]) -> float:
        """Return how likely it is that the meaning with these signs was meant, 0 to 1."""
        return 1 / (1 + exp(-sum(weight * sign for weight, sign in zip(astuple(self), signs, strict=True))))


def signs_of(ranked: Sequence[Found]) -> tuple[float, ...]:
    """Return what tells how likely the best of findings was meant, in the order of `Weights`.

    These are one, its score, its lead over the next meaning, the logarithm of its letters (a wrong sound weighs more
    in a short phrase), and how rarely it is said.
    """
    best = ranked[0]
    return 1.0, best.score, min(lead(ranked), MOST_LEAD), log(1 + len(best.words)), best.phrase.rare


def without_rarity(signs: tuple[float, ...]) -> tuple[float, ...]:
    """Return the signs of the same meaning, were it as usual as any."""
    return *signs[:-1], 0.0


def lead(ranked: Sequence[Found]) -> float:
    """Return how far the next finding lies behind the best."""
    return ranked[0].evidence - ranked[1].evidence if len(ranked) > 1 else float("inf")
