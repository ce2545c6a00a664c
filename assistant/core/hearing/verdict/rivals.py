"""What stands against the best finding: a number's twin, a contrary. Each returns what it has to be asked beside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.core.grammar.word_graph import WordGraph
from assistant.core.hearing.contraries.made import DENIED
from assistant.core.hearing.verdict.denying import denies
from assistant.core.hearing.verdict.found import Found
from assistant.core.hearing.verdict.weighing import likelier, named
from assistant.core.quantities.figures import twins_of
from assistant.core.types import Heard, Phrase

FIRST_DENIED = 0.5
"""The same share where what affirms is told from what denies it (README.md)."""
ALONE = 6.0
"""By so much likelier is what affirms than what denies it where the first engine alone is believed [nat]: it
wrote "the oil is running", and held it likelier by 5.0, where "isn't running" was said (README.md)."""
BETTER = 0.05
"""By so much better scores a contrary that is asked about, though the engines hold it less likely [nat a letter]
(README.md)."""


def twin_as_likely(ranked: Sequence[Found], heard: Sequence[Heard], least: float) -> Found | None:
    """Return the twin of a number that was found, where the engines hold it likelier by less than that [nat], or the
    twin scores better."""
    best, *others = ranked
    twins = set(twins_of(best.words))
    for twin in (other for other in others if other.words in twins):
        by = likelier(best.words, twin.words, heard)
        if twin.score > best.score or (by is not None and by < least):
            return twin
    return None


def contrary_near(ranked: Sequence[Found]) -> bool:
    """Tell whether what denies a finding that affirms is not far less likely."""
    best, *others = ranked
    if not best.phrase.affirms:
        return False
    return any(denies(other.phrase, best.phrase) and best.evidence - other.evidence < ALONE for other in others)


def contrary_as_likely(
    ranked: Sequence[Found],
    heard: Sequence[Heard],
    phrases: Sequence[Phrase],
    graphs: Sequence[WordGraph],
    least: float,
) -> Found | None:
    """Return what denies a finding that affirms, where the engines hold it likelier by less than that [nat], or the
    denial scores better; and what a finding denies, where they hold the denial likelier by less than that.

    Each wording counts that was weighed, not only the one that scores best: one of them may differ by a sound only.
    """
    best, *others = ranked
    if best.phrase.intent == DENIED:
        return next((other for other in others if _hardly_denied(best, other, heard, least)), None)
    if not best.phrase.affirms:
        return None
    nearer = (other for other in others if denies(other.phrase, best.phrase) and other.score > best.score + BETTER)
    return next(nearer, None) or next(_denials(best, heard, phrases, graphs, least), None)


def _hardly_denied(best: Found, other: Found, heard: Sequence[Heard], least: float) -> bool:
    """Tell whether the engines hold a denial hardly likelier than what it denies."""
    by = likelier(best.words, other.words, heard, FIRST_DENIED) if denies(best.phrase, other.phrase) else None
    return by is not None and by < least


def _denials(
    best: Found, heard: Sequence[Heard], phrases: Sequence[Phrase], graphs: Sequence[WordGraph], least: float
) -> Iterator[Found]:
    """Yield what denies a finding and is hardly less likely."""
    for words in dict.fromkeys(item.words for one in heard for item in one.allowed):
        by = likelier(best.words, words, heard, FIRST_DENIED)
        if by is not None and by < least:
            for phrase, steps in named(words, phrases, graphs):
                if denies(phrase, best.phrase):
                    yield Found(phrase, steps, best.score, best.evidence)
