"""How findings that affirm and findings that deny stand to each other, and which of the two engines hold likelier."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.core.hearing.contraries import DENIED, denied
from assistant.core.hearing.found import Found
from assistant.core.hearing.numbers import written_as_words
from assistant.core.hearing.parsing import parse
from assistant.core.hearing.word_graph import Step, WordGraph
from assistant.core.types import Heard, Phrase

Steps = tuple[Step, ...]

ALONE, ALONE_WRITTEN = 10.0, 5.0
"""By so much likelier is what affirms than what denies it where the first engine alone is believed [nat]: in general,
and where it wrote the words around which they differ. Where "the oil isn't running" was said it held "is" likelier by
up to 9.1, and wrote "the oil is drowning"; where it wrote these words, by 2.5 at most ("the plug is hand tight")."""
SHARES = (0.3, 1.0)
"""Shares of the first engine and of the others where what affirms is told from what denies it. Where "the oil isn't
running" was said, in quiet, the first held "is" likelier by 8.1 and the second hardly less likely: equal shares would
take that, and of 75 sentences that affirm, in quiet, four more right."""
DENIED_BY = 6.0
"""By so much less than it needs is likely what affirms where a denial is taken [nat], or it is asked which."""
LONGER = 2.0
"""By so much likelier is what affirms than what denies it in longer words than with "n't" [nat]: of 189 sounds in which
contraries were said none of these reached 1. For "n't", of which little is to be heard, it is `contraries`."""


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


def is_opposite(one: Found, other: Found) -> bool:
    """Return whether one of two findings denies the other."""
    return denies(one.phrase, other.phrase) or denies(other.phrase, one.phrase)


def beside_opposites(ranked: Sequence[Found]) -> list[Found]:
    """Return findings without the opposites of the first: which of these it is is told by another rule."""
    return [one for one in ranked if one is ranked[0] or not is_opposite(one, ranked[0])]


def contrary_near(
    best: Found, heard: Heard, phrases: Sequence[Phrase], graphs: Sequence[WordGraph], word: float
) -> Found | None:
    """Return what denies a finding that affirms, where the first engine holds it not far less likely."""
    if not best.phrase.affirms:
        return None
    written = written_as_words(heard.written[0].text) if heard.written else ""
    over, contrary = lead_over_contraries(best, [heard], phrases, graphs, (1.0,), word)
    if contrary is None:
        return None
    return contrary if over < (ALONE_WRITTEN if has_the_difference(written, best, contrary) else ALONE) else None


def lead_needed(
    found: Found,
    heard: Sequence[Heard],
    phrases: Sequence[Phrase],
    graphs: Sequence[WordGraph],
    word: float,
    contraries: float,
) -> tuple[float, Found | None]:
    """Return by how much more than it needs what affirms is likelier than what denies it, and this [nat].

    It needs `contraries` beside what denies with "n't", and `LONGER` beside other words; only to be likelier where each
    engine wrote the words around which both differ: of 189 sounds of contraries none was taken by that.
    """
    over, contrary = lead_over_contraries(found, heard, phrases, graphs, SHARES, word, contraries - LONGER)
    texts = [written_as_words(one.written[0].text) if one.written else "" for one in heard]
    if contrary and all(has_the_difference(text, found, contrary) for text in texts):
        return lead_over_contraries(found, heard, phrases, graphs, SHARES, word)
    return over - LONGER, contrary


def lead_over_contraries(
    found: Found,
    heard: Sequence[Heard],
    phrases: Sequence[Phrase],
    graphs: Sequence[WordGraph],
    shares: Sequence[float],
    word: float,
    swallowed: float = 0.0,
) -> tuple[float, Found | None]:
    """Return by how much engines hold what affirms likelier than the likeliest that denies it, and this [nat].

    What denies with "n't", of which little is to be heard, counts `swallowed` more.

    Each engine's word counts with its share, the last one's for all that follow. What is short always seems likely: a
    contrary of fewer words than the phrase counts `word` less for each. Compared is what the last engine weighed; what
    the others did not find is as unlikely as the least likely that they found.
    """
    known = [{item.words: item.likelihood for item in one.allowed} for one in heard if one.is_speech and one.allowed]
    if not known or found.words not in known[-1]:
        return float("-inf") if known else float("inf"), None
    share = [shares[min(place, len(shares) - 1)] for place in range(len(known))]

    def likely(words: str) -> float:
        shorter = max(0, len(found.words.split()) - len(words.split()))
        held = (each.get(words, min(each.values())) - word * shorter for each in known)
        more = swallowed if "n't" in words else 0.0
        return more + sum(part * of for part, of in zip(share, held, strict=True))

    denials = {words: denial for words in known[-1] if (denial := _denial(words, found, phrases, graphs))}
    if not denials:
        return float("inf"), None
    worst = max(denials, key=likely)
    phrase, steps = denials[worst]
    return likely(found.words) - likely(worst), Found(phrase, steps, found.score, found.evidence)


def _denial(
    words: str, found: Found, phrases: Sequence[Phrase], graphs: Sequence[WordGraph]
) -> tuple[Phrase, Steps] | None:
    named = meant_by(words, phrases, graphs)
    return next(((phrase, steps) for phrase, steps in named if denies(phrase, found.phrase)), None)


def has_the_difference(written: str, found: Found, contrary: Found) -> bool:
    """Return whether what an engine wrote has the words of a finding around the place where its contrary differs."""
    words, others = found.words.split(), contrary.words.split()
    place = next((at for at, (one, other) in enumerate(zip(words, others, strict=False)) if one != other), len(others))
    around = " ".join(words[max(0, place - 1) : place + 2])
    return f" {around} " in f" {written} "


def meant_by(words: str, phrases: Sequence[Phrase], graphs: Sequence[WordGraph]) -> list[tuple[Phrase, Steps]]:
    """Return every phrase that words are, each with the steps that they take; denials only where they are no other."""
    found = [(phrase, parse(graph, words.split())) for phrase, graph in zip(phrases, graphs, strict=True)]
    named = [(phrase, steps) for phrase, steps in found if steps is not None]
    return [one for one in named if one[0].intent != DENIED] or named


def contrary_found(best: Found, words: Sequence[str]) -> Found:
    """Return a denial of a finding in words that no phrase foresees."""
    phrase = Phrase(DENIED, " ".join(words), denied(best.phrase))
    steps = tuple(Step(place, word, place + 1) for place, word in enumerate(words))
    return Found(phrase, steps, best.score, best.evidence)
