"""Holds the verdict over phrases that engines hold likely. Knows no sounds: how likely a phrase is, is their word.

The score is the likelihood of the best phrase beside what the first engine wrote freely, less what the phrase
leaves over of that text, for each letter of the longer of the two and a few to spare; 0 is the same. Nothing is
accepted because nothing else was allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from assistant.core.hearing.found import Found, Match, Meaning
from assistant.core.hearing.parsing import parse
from assistant.core.hearing.word_graph import Step, WordGraph
from assistant.core.types import Heard, Phrase, Verdict, Weighed

Steps = tuple[Step, ...]

MISSED = 3.0
"""How much less likely than the least of its phrases one is that an engine does not name [nat]."""


@dataclass(frozen=True, slots=True)
class JudgeSettings:
    """Thresholds and weights, fitted on development data and kept in `models/matching.yaml`."""

    accept: float
    """Score from which a phrase is accepted [nat a letter]."""
    amid_talk: float
    """The same amid other talk, which holds words like any phrase [nat a letter]: of 120 sentences over three people
    talking .067 were taken wrong with -0.45, .017 with -0.3, where the second engine is asked more often, and as many
    right."""
    ask: float
    """Score from which it is asked again; below, it was not meant for the assistant [nat a letter]."""
    doubt: float
    """Score from which other engines are asked what they hear; below, they will hear none either [nat a letter]."""
    alone: float
    """Score by sound from which another engine is believed though the first heard something else, or no phrase
    [distance a sound]: of 558 telephone prompts the nearest to a phrase lay at -0.34."""
    spare: float
    """So many letters are added to the length, or short words would be judged too hard."""
    margin: float
    """By how much the best meaning has to be likelier than the next one [nat]."""
    second: float
    """Weight of the other engines beside the first."""
    word: float
    """Likelihood that a word of a phrase is worth beside other phrases [nat]: what is short always seems likely."""
    rare: float
    """How much nearer a phrase has to be heard for each nat by which it is rarer than the others [nat a letter]: noise
    is easily taken for a number, and hardly ever is one in a unit that nobody asked for."""
    least_snr: float
    """Ratio of speech to noise from which something consequential is believed at once [decibel]."""
    fastest: float
    """So many letters are said in a second at most [1/second]: of 240 sentences in ten voices the fastest had 26 in a
    second of voice, and what is cut out of other talk seems to have a whole phrase in a syllable."""
    left_over: float
    """What a letter costs that was written freely and is not in the phrase [nat]: a word is not its sentence."""


class Doubt(Enum):
    """In what the first engine is not sure."""

    NONE = "nothing"
    WHICH = "which of the phrases it was"
    WHETHER = "whether it was any of them"


def judge(
    heard: Sequence[Heard], phrases: Sequence[Phrase], graphs: Sequence[WordGraph], settings: JudgeSettings
) -> Match:
    """Return which phrase was meant, from how likely each engine holds which; the first engine sets the score."""
    written = tuple(text for one in heard for text in one.written)
    witnesses = [one.allowed for one in heard if one.allowed]
    if not witnesses or _is_wordless(heard[0]):
        return Match(Verdict.NOT_FOR_ME, heard=written)
    letters = max((len(text.text) for text in heard[0].written), default=0)
    found: dict[Meaning, Found] = {}
    for item, evidence in zip(witnesses[0], _evidence(witnesses, settings), strict=True):
        for phrase, steps in _named(item.words, phrases, graphs):
            new = Found(phrase, steps, _score(item, letters, settings), evidence - phrase.rare)
            old = found.get(new.meaning)
            found[new.meaning] = _together(old, new) if old else new
    ranked = sorted(found.values(), key=lambda one: -one.evidence)
    if not ranked:
        return Match(Verdict.NOT_FOR_ME, heard=written)
    best, runner_up = ranked[0], ranked[1] if len(ranked) > 1 else None
    margin = best.evidence - runner_up.evidence if runner_up else float("inf")
    return Match(_verdict(best, margin, settings), best, runner_up, margin, written)


def agreed(first: Match, other: Match, settings: JudgeSettings) -> Match:
    """Return the verdict of two engines, where the first was not sure and the other went by what it wrote freely."""
    heard = (*first.heard, *other.heard)
    if other.verdict is not Verdict.ACCEPTED or other.best is None:
        return replace(first, heard=heard)
    same = first.best is not None and first.best.meaning == other.best.meaning
    if same or other.best.score >= settings.alone:
        return replace(other, heard=heard)
    if first.verdict is Verdict.NOT_FOR_ME:
        return replace(other, verdict=Verdict.UNCLEAR, runner_up=None, heard=heard)
    return replace(first, runner_up=other.best, margin=0.0, heard=heard)


def _is_wordless(heard: Heard) -> bool:
    """Tell whether an engine wrote signs without a letter or a figure: notes, for what sounded like music to it."""
    return bool(heard.written) and not any(sign.isalnum() for text in heard.written for sign in text.text)


def _evidence(witnesses: Sequence[Sequence[Weighed]], settings: JudgeSettings) -> list[float]:
    """Return for each phrase of the first engine how likely all engines hold it [nat]."""
    total = [_worth(item, settings) for item in witnesses[0]]
    for other in witnesses[1:]:
        known = {item.words: _worth(item, settings) for item in other}
        least = min(known.values()) - MISSED
        for place, item in enumerate(witnesses[0]):
            total[place] += settings.second * known.get(item.words, least)
    return total


def _worth(item: Weighed, settings: JudgeSettings) -> float:
    return item.likelihood + settings.word * len(item.words.split())


def _score(item: Weighed, letters: int, settings: JudgeSettings) -> float:
    own = len(item.words)
    return (item.likelihood - settings.left_over * max(0, letters - own)) / (max(own, letters) + settings.spare)


def _named(words: str, phrases: Sequence[Phrase], graphs: Sequence[WordGraph]) -> list[tuple[Phrase, Steps]]:
    """Return every phrase that words are, each with the steps that they take."""
    found = [(phrase, parse(graph, words.split())) for phrase, graph in zip(phrases, graphs, strict=True)]
    return [(phrase, steps) for phrase, steps in found if steps is not None]


def _together(one: Found, other: Found) -> Found:
    """Return two wordings of one meaning as one: the likelier wording, with the likelihood of both."""
    best = max(one, other, key=lambda found: found.evidence)
    return Found(best.phrase, best.steps, best.score, float(np.logaddexp(one.evidence, other.evidence)))


def _verdict(best: Found, margin: float, settings: JudgeSettings) -> Verdict:
    if best.score < settings.ask:
        return Verdict.NOT_FOR_ME
    enough = settings.accept + settings.rare * best.phrase.rare
    clear = best.score >= enough and margin >= settings.margin
    return Verdict.ACCEPTED if clear else Verdict.UNCLEAR
