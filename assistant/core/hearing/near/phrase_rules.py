"""What is asked of phrases before anyone says them: that they can be told apart. Each rule yields what breaks it.

The limits come from measurement: see `NEAREST`. Nothing here hears anything, and nothing is mended here.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from assistant.core.grammar.jsgf import parse_expansion, references
from assistant.core.grammar.word_graph import word_graph
from assistant.core.hearing.near.likeness import Likeness, Nearness
from assistant.core.hearing.near.shortest import shortest
from assistant.core.hearing.near.sounds import Lexicon
from assistant.core.types import Phrase

NEAREST = 3.0
"""Distance that two meanings keep: the 2.5 below which `tests/benchmarks/confusions.py` saw them taken for each other,
and a half for other voices (../README.md)."""
NEAREST_NUMBER = 2.5
"""The same where one of the two may hold any number, which the matcher believes less easily."""
MATTERS = frozenset({"next", "done", "claim", "confirm", "undo", "skip", "back", "park", "go-on", "pause", "listen"})
"""Meanings that change something; the others only ask."""
FEWEST_WORDS, FEWEST_SOUNDS = 2, 5
"""What the shortest wording has at least where it matters. An answer to a question may be one word."""
TALK_WORDS = ("yes", "yeah", "okay", "right", "no", "good", "fine", "well", "so", "now")
"""Words of which all talk is full; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two phrases with different meanings that may be said at the same time, and how near they come."""

    one: Phrase
    other: Phrase
    near: Nearness


def meaning(phrase: Phrase) -> str:
    """Return what a phrase means, for instance `next` or `option concrete`."""
    return f"{phrase.intent} {phrase.option}" if phrase.option else phrase.intent


def pairs(phrases: Sequence[Phrase], likeness: Likeness, below: Callable[[Phrase, Phrase], float]) -> Iterator[Pair]:
    """Yield the pairs of phrases with different meanings that are nearer than a limit of theirs."""
    for one, other in combinations(phrases, 2):
        if meaning(one) != meaning(other) and likeness.distance(one.says, other.says) < below(one, other):
            yield Pair(one, other, likeness.nearness(one.says, other.says))


def limit(one: Phrase, other: Phrase) -> float:
    """Return how far apart two phrases with different meanings have to be."""
    return NEAREST_NUMBER if has_slot(one.says) or has_slot(other.says) else NEAREST


@lru_cache(maxsize=4096)  # asked of each pair of phrases, so of each phrase hundreds of times
def has_slot(says: str) -> bool:
    """Return whether a phrase refers to a rule: what is said there may be any number."""
    return any(True for _ in references(parse_expansion(says)))


def too_near(phrases: Sequence[Phrase], likeness: Likeness, excepted: Mapping[frozenset[str], str]) -> Iterator[str]:
    """Yield the pairs that are too near, but for those wordings that are excepted, each for a reason."""
    return (fault for _, fault in pairs_too_near(phrases, likeness, excepted))


def pairs_too_near(
    phrases: Sequence[Phrase], likeness: Likeness, excepted: Mapping[frozenset[str], str]
) -> Iterator[tuple[Pair, str]]:
    """Yield the same, each with its phrases."""
    for pair in pairs(phrases, likeness, limit):
        if frozenset(pair.near.words) not in excepted:
            one, other = pair.near.words
            yield (
                pair,
                f"{one!r} ({meaning(pair.one)}) and {other!r} ({meaning(pair.other)}) are {pair.near.distance:.2f} "
                f"apart, and need {limit(pair.one, pair.other)}: reword one of them",
            )


def too_short(phrases: Iterable[Phrase], lexicon: Lexicon, excepted: Collection[str] = ()) -> Iterator[str]:
    """Yield the phrases whose shortest wording is too short for what they mean, but for those that are excepted.

    Phrases with a number are no subject.
    """
    for phrase in phrases:
        if (phrase.intent in MATTERS or phrase.option) and not has_slot(phrase.says):
            words = shortest(word_graph(parse_expansion(phrase.says), {}), lambda word: _sounds(word, lexicon))
            sounds = sum(_sounds(word, lexicon) for word in words)
            fewest = 1 if phrase.option else FEWEST_WORDS
            short = len(words) < fewest or sounds < FEWEST_SOUNDS
            if short and " ".join(words) not in excepted:
                yield f"{' '.join(words)!r} ({meaning(phrase)}) needs {fewest} words and {FEWEST_SOUNDS} sounds"


def _sounds(word: str, lexicon: Lexicon) -> int:
    return min(len(sounds) for sounds in lexicon(word))


def one_way_only(phrases: Sequence[Phrase], likeness: Likeness) -> Iterator[str]:
    """Yield the meanings that can be said in one way only, or in ways that sound alike; a bare value is one."""
    ways: dict[str, list[str]] = {}
    for phrase in phrases:
        if not has_slot(phrase.says) and not names_another(phrase):
            ways.setdefault(meaning(phrase), []).append(phrase.says)
    for name, texts in ways.items():
        if not any(likeness.distance(one, other) >= NEAREST for one, other in combinations(texts, 2)):
            yield f"{name} can be said in one way only, {texts[0]!r}: add one that sounds different"


def names_another(phrase: Phrase) -> bool:
    """Return whether a phrase only keeps the name of another thing from being taken for the one that waits."""
    return phrase.intent == "confirm" and phrase.option is not None


def talk() -> str:
    """Return one or two of the words of which all talk is full, as an expansion."""
    word = f"({' | '.join(TALK_WORDS)})"
    return f"{word} [{word}]"


def like_talk(phrases: Iterable[Phrase], likeness: Likeness) -> Iterator[str]:
    """Yield the phrases that matter and sound like words of which all talk is full; `talk()` must be laid out."""
    for phrase in phrases:
        if phrase.intent in MATTERS and likeness.distance(talk(), phrase.says) < NEAREST:
            said, taken = likeness.nearness(talk(), phrase.says).words
            yield f"{taken!r} ({meaning(phrase)}) sounds like {said!r}, which is in all talk: reword it"


def badly_heard(phrases: Iterable[Phrase], likeness: Likeness, wordings: Iterable[str]) -> Iterator[str]:
    """Yield the phrases that allow a wording of which it is known that recognisers hear it badly."""
    refused = tuple(wordings)
    for phrase in phrases:
        for words in refused:
            if likeness.distance(words, phrase.says) == 0:
                yield f"{words!r} ({meaning(phrase)}) is heard badly: choose longer words"
