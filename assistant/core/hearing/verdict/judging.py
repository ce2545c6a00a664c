"""Holds the verdict over phrases that engines hold likely. Knows no sounds: how likely a phrase is, is their word.

The score is the likelihood of a phrase beside what an engine wrote freely, less what the phrase leaves over of that
text, for each letter of the longer of the two and a few to spare; 0 is the same. Where the first engine is not sure,
the mean over all engines counts, and over how near the phrase comes by its sound to what they wrote: of 160 sentences
beside a grinder (10 dB) .84 were right so, and .78 where the second engine was asked for its word only, of 120 as loud
as a compressor .80 and .70. How likely it is then that the best meaning was meant is a matter of what the sound tells
of it, and of how the others do (`odds.py`). Nothing is accepted because nothing else was allowed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import fmean

import numpy as np

from assistant.core.grammar.word_graph import WordGraph
from assistant.core.hearing.verdict.denying import ranked_by_evidence, undenied
from assistant.core.hearing.verdict.found import Found, Match, Meaning
from assistant.core.hearing.verdict.odds import MOST_LIKELIER, Signs, Weights, signs_of
from assistant.core.hearing.verdict.rivals import contrary_as_likely, contrary_near, twin_as_likely
from assistant.core.hearing.verdict.weighing import likelier, named
from assistant.core.types import Heard, Hypothesis, Phrase, Verdict, Weighed

FAR = -0.9
"""Score of a phrase that an engine did not think of, and the least that any has: one may miss what the others hear."""
NEAREST = 0.3
"""The most that it has: a text may explain the sound better than what an engine wrote."""
UNTOLD = 0.2
"""What the sound tells of words where no engine can tell it of any [nat a letter]: right ones have 0.4 to 0.9, in the
mean of each of nine sets of sounds, and what nobody said less than 0."""
HELD = 0.06
"""By so much nearer counts, where meanings are ranked, what the engines after the first hold likelier [1/letter]
(README.md)."""
MORE = 15
"""Where the first engine wrote so many letters more than a phrase has, it alone is not believed: an order lost its last
two parts that way."""
BESIDE = 0.15
"""A next meaning that lies less behind is named beside the best one, where it is asked again [nat a letter]."""


@dataclass(frozen=True, slots=True)
class JudgeSettings:
    """Thresholds and weights, fitted on development data and kept in `models/matching.yaml`."""

    accept: float
    """Score from which the first engine alone is believed [nat a letter]."""
    accept_amid_talk: float
    """The same amid other talk, which holds words like any phrase [nat a letter]."""
    accept_in_noise: float
    """The same in noise [nat a letter]: of 100 sentences beside a grinder as loud four were taken wrong, all of them by
    the first engine alone, at -0.04 to -0.22."""
    clear_snr: float
    """Ratio of speech to noise from which it is not noisy in that sense [decibel]."""
    ask: float
    """Score of the first engine alone from which it is asked again; below, it was not meant for the assistant [nat a
    letter]."""
    doubt: float
    """Score of the first engine from which the others are asked [nat a letter]: of what came right, none of 34
    lay below -1.05, but every second telephone prompt."""
    margin: float
    """By how much the best meaning has to be likelier than the next one for the first engine [nat]."""
    together: Weights
    """What counts where all are asked."""
    sure: float
    """Probability from which a phrase is then accepted, 0 to 1."""
    unsure: float
    """Probability that anything was meant from which it is then asked again, 0 to 1."""
    twins: float
    """By how much a number has to be likelier than its twin, or it is asked which [nat]: of 197 taken in ten voices
    ("sixteen newton metres" or "sixty") 170 were right and 27 wrong without it, with 2 153 and 9."""
    contraries: float
    """By how much what affirms has to be likelier than what denies it, or it is asked again [nat]."""
    spare: float
    """So many letters are added to the length, or short words would be judged too hard."""
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


def judge(heard: Heard, phrases: Sequence[Phrase], graphs: Sequence[WordGraph], settings: JudgeSettings) -> Match:
    """Return which phrase was meant, from how likely one engine holds which."""
    found: dict[Meaning, Found] = {}
    for item in heard.allowed if not _is_wordless(heard) else ():
        score, worth = _score(item, heard, settings), item.likelihood + settings.word * len(item.words.split())
        for phrase, steps in named(item.words, phrases, graphs):
            new = Found(phrase, steps, score, worth - phrase.rare)
            old = found.get(new.meaning)
            found[new.meaning] = _as_one(old, new) if old else new
    ranked = _ranked(found)
    rare = settings.rare * ranked[0].phrase.rare if ranked else 0.0
    match = decided(ranked, settings.ask, settings.accept + rare, settings.margin, heard.written)
    more = match.verdict is Verdict.ACCEPTED and match.best and _length(heard) - len(match.best.words) > MORE
    if more:
        return replace(match, verdict=Verdict.UNCLEAR, runner_up=None)
    near = match.verdict is Verdict.ACCEPTED and contrary_near(ranked)
    return replace(match, verdict=Verdict.UNCLEAR) if near else match


def judge_together(
    heard: Sequence[Heard],
    by_sound: Mapping[str, float],
    phrases: Sequence[Phrase],
    graphs: Sequence[WordGraph],
    settings: JudgeSettings,
) -> Match:
    """Return which phrase was meant, from what each engine holds likely, and how near phrases come by their sound."""
    written = tuple(text for one in heard for text in one.written)
    if _is_wordless(heard[0]):
        return Match(Verdict.NOT_FOR_ME, heard=written)
    ranked = rank_together(heard, by_sound, phrases, graphs, settings)
    if not ranked:
        return Match(Verdict.NOT_FOR_ME, heard=written)
    signs, margin = signs_together(ranked, heard, settings), lead(ranked)
    runner_up = ranked[1] if len(ranked) > 1 else None
    if settings.together.of_any(signs) < settings.unsure:  # what is no likelier than another is asked about
        return Match(Verdict.NOT_FOR_ME, ranked[0], runner_up, margin, written)
    all_heard_speech = all(one.is_speech for one in heard if one.allowed)
    likely = settings.together.of_this(signs) >= settings.sure
    rival = twin_as_likely(ranked, heard, settings.twins) or contrary_as_likely(
        ranked, heard, phrases, graphs, settings.contraries
    )
    if likely and all_heard_speech and not rival:
        return Match(Verdict.ACCEPTED, ranked[0], runner_up, margin, written)
    return Match(Verdict.UNCLEAR, ranked[0], rival or (runner_up if margin < BESIDE else None), margin, written)


def signs_together(ranked: Sequence[Found], heard: Sequence[Heard], settings: JudgeSettings) -> Signs:
    """Return what tells how likely the best of findings was meant."""
    best, *others = ranked
    leads = [likelier(best.words, other.words, heard) for other in others]
    by = min((each for each in leads if each is not None), default=float("inf"))
    return signs_of(ranked, by, _information(best.words, heard, settings))


def _information(words: str, heard: Sequence[Heard], settings: JudgeSettings) -> float:
    """Return what the sound tells of words, as the engines hold it [nat a letter].

    0 where they told of other words only: they tell of the likeliest.
    """
    told = [(item.words, item.information) for one in heard for item in one.allowed if item.information is not None]
    if not told:
        return UNTOLD
    of_these = [information for of, information in told if of == words]
    return fmean(of_these) / (len(words) + settings.spare) if of_these else 0.0


def rank_together(
    heard: Sequence[Heard],
    by_sound: Mapping[str, float],
    phrases: Sequence[Phrase],
    graphs: Sequence[WordGraph],
    settings: JudgeSettings,
) -> list[Found]:
    """Return each meaning in its best wording, best first: by the mean score of all witnesses, and a little by how
    likely the engines after the first hold it.

    `by_sound` is for each sound of the phrase [distance a sound].
    """
    witnesses = [{item.words: _score(item, one, settings) for item in one.allowed} for one in heard if one.allowed]
    witnesses.append(dict(by_sound))
    behind = _behind(heard)
    found: dict[Meaning, Found] = {}
    for words in dict.fromkeys(words for witness in witnesses for words in witness):
        score = sum(max(FAR, min(NEAREST, witness.get(words, FAR))) for witness in witnesses) / len(witnesses)
        held = HELD * min(MOST_LIKELIER, behind.get(words, MOST_LIKELIER))
        for phrase, steps in named(words, phrases, graphs):
            new = Found(phrase, steps, score, score - settings.rare * phrase.rare - held)
            old = found.get(new.meaning)
            found[new.meaning] = max(old, new, key=lambda one: one.score) if old else new
    return _ranked(found)


def _behind(heard: Sequence[Heard]) -> dict[str, float]:
    """Return by how much less likely than the likeliest the engines after the first hold each text [nat]."""
    known = [
        {item.words: item.likelihood for item in one.allowed} for one in heard[1:] if one.is_speech and one.allowed
    ]
    most = [max(each.values()) for each in known]
    told = set().union(*known)
    return {
        words: fmean(top - each[words] for each, top in zip(known, most, strict=True) if words in each)
        for words in told
    }


def decided(
    ranked: Sequence[Found], ask: float, accept: float, apart: float, written: tuple[Hypothesis, ...] = ()
) -> Match:
    """Return the verdict on findings, likeliest first, from the score of the first and its distance from the next."""
    if not ranked:
        return Match(Verdict.NOT_FOR_ME, heard=written)
    best, runner_up, margin = ranked[0], ranked[1] if len(ranked) > 1 else None, lead(ranked)
    if best.score < ask:
        return Match(Verdict.NOT_FOR_ME, best, runner_up, margin, written)
    if best.score < accept:  # too far to name another one beside it
        return Match(Verdict.UNCLEAR, best, None, margin, written)
    return Match(Verdict.ACCEPTED if margin >= apart else Verdict.UNCLEAR, best, runner_up, margin, written)


def lead(ranked: Sequence[Found]) -> float:
    """Return how far the next finding lies behind the best."""
    return ranked[0].evidence - ranked[1].evidence if len(ranked) > 1 else float("inf")


def _ranked(found: Mapping[Meaning, Found]) -> list[Found]:
    return ranked_by_evidence(undenied(list(found.values())))


def _is_wordless(heard: Heard) -> bool:
    """Tell whether an engine wrote signs without a letter or a figure: notes, for what sounded like music to it."""
    return bool(heard.written) and not any(sign.isalnum() for text in heard.written for sign in text.text)


def _length(heard: Heard) -> int:
    """Return how many letters an engine wrote."""
    return len(heard.written[0].text) if heard.written else 0


def _score(item: Weighed, heard: Heard, settings: JudgeSettings) -> float:
    own, written = len(item.words), _length(heard)
    left_over = settings.left_over * max(0, written - own)
    return (item.likelihood - left_over) / (max(own, written) + settings.spare)


def _as_one(one: Found, other: Found) -> Found:
    """Return two wordings of one meaning as one: the likelier wording, with the likelihood of both."""
    best = max(one, other, key=lambda found: found.evidence)
    return Found(best.phrase, best.steps, best.score, float(np.logaddexp(one.evidence, other.evidence)))
