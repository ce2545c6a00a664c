"""How likely it is that the best meaning of all was meant: the log-odds of a logistic regression. Decides nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from math import exp, log

from assistant.core.hearing.found import Found

MOST_LEAD = 0.2
"""A greater lead over the next meaning makes no difference [nat a letter]: with 0.5 what was far from everything, but
not so far from one phrase, was taken for it ("is the torque still open")."""

MOST_LIKELIER = 4.0
"""Nor does it by how much more the engines hold it likelier than another [nat]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What each of the `signs_of` a meaning adds to the log-odds [nat for each unit of the sign]."""

    bias: float
    score: float
    lead: float
    likelier: float
    rare: float
    information: float

    def probability(self, signs: Sequence[float]) -> float:
        """Return how likely it is that the meaning with these signs was meant, 0 to 1."""
        return 1 / (1 + exp(-sum(weight * sign for weight, sign in zip(astuple(self), signs, strict=True))))


def signs_of(ranked: Sequence[Found], likelier: float, information: float) -> tuple[float, ...]:
    """Return what tells how likely the best of findings was meant, in the order of `Weights`.

    These are one, its score, its lead over the next meaning, by how much the engines hold it at least likelier than any
    other [nat], how rarely it is said, and what the sound tells of it [nat a letter]. Score and lead are for each
    letter, and a long phrase says more than a short one, though not in proportion: so they count by the logarithm of
    its length. With the length as a sign of its own, what is short was believed too easily ("concrete" for "19").
    """
    best = ranked[0]
    length = log(1 + len(best.words))
    at_least = max(-MOST_LIKELIER, min(MOST_LIKELIER, likelier))
    return 1.0, best.score * length, min(lead(ranked), MOST_LEAD) * length, at_least, best.phrase.rare, information


def of_any(signs: tuple[float, ...]) -> tuple[float, ...]:
    """Return the signs of the same meaning, were it as usual as any and no other likelier: those that any was meant."""
    *rest, likelier, _, information = signs
    return *rest, max(0.0, likelier), 0.0, information


def lead(ranked: Sequence[Found]) -> float:
    """Return how far the next finding lies behind the best."""
    return ranked[0].evidence - ranked[1].evidence if len(ranked) > 1 else float("inf")
