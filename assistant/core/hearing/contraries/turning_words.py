"""Holds the words that turn a meaning into its contrary, or leave it in doubt. Knows no phrases."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.core.hearing.contraries.around import Around

NOT_SHORTENED = {"can't": "can not", "cannot": "can not", "cant": "can not", "won't": "will not", "wont": "will not",
                 "shan't": "shall not", "its": "it is", "im": "i am", "ive": "i have", "you'll": "you'll"}  # fmt: skip
"""What is shortened, or lacks its apostrophe, so that no rule makes it whole."""
_WITHOUT_SIGN = re.compile(r"(is|are|was|were|do|does|did|has|have|had|could|should|would)nt")
_ENDINGS = (("n't", " not"), ("'m", " am"), ("'s", " is"), ("'re", " are"), ("'ve", " have"), ("'ll", " will"))
_E_BEFORE = re.compile(r"([vcuzg]|[^s]s|[^aeioul]l)$")
"""Endings of a past form without "ed" that lack an "e" as a verb: "mov", "replac", "engag", "rais", "settl"."""
_ONE_SHORT_VOWEL = re.compile(r"[^aeiou]*[aeiou][^aeiouwxy]")
"""A verb such as "wip": were its vowel short, its last letter would be doubled in "wipped"."""
_DOUBLED = re.compile(r"([bdgmnprt])\1$")


@dataclass(frozen=True)
class Past:
    """A verb in its past form."""

    base: str
    """As in "did not take"."""
    perfect: str
    """As in "have not taken"."""


@dataclass(frozen=True, kw_only=True)
class TurningWords:
    """The words, read from `procedures/phrases/contraries.yaml`, where they are explained."""

    denials: Sequence[str]
    auxiliaries: Mapping[str, str]
    shortened: Mapping[str, str]
    subjects: Sequence[str]
    several: Sequence[str]
    pasts: Mapping[str, Sequence[str]]
    not_pasts: Sequence[str]
    presents: Sequence[str]
    nouns_too: Sequence[str]
    adverbs: Sequence[str]
    imperatives: Sequence[str]
    questions: Sequence[str]
    requests: Sequence[str]
    opposites: Mapping[str, Sequence[str]]
    particles: Mapping[str, Sequence[str]]
    prepositions: Sequence[str]
    turning: Mapping[str, Sequence[str]]
    asking: Sequence[str]
    fillers: Sequence[str]
    free: Sequence[str]
    around: Around
    _operative: frozenset[str] = field(init=False)
    _turning: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        """Gather the words by which a rule of contraries may hold."""
        words = {word for key in self.opposites for word in key.split()} - {"the"}
        words |= {*self.auxiliaries, *self.subjects, *self.imperatives, *self.questions, *self.particles, *self.pasts}
        turning = {word for rows in self.turning.values() for row in rows for word in row.split()}
        object.__setattr__(self, "_turning", frozenset(turning))
        object.__setattr__(self, "_operative", frozenset(words | {"both", "everything", "not"}))

    def changes_nothing(self, word: str) -> bool:
        """Return whether a word may be left over of a text without a change of its meaning."""
        return word in self.free or word in self.fillers

    def is_light(self, word: str) -> bool:
        """Return whether a word may stand around an answer, changing nothing or turning it."""
        return self.changes_nothing(word) or word in self._turning

    def turns(self, words: Sequence[str]) -> bool:
        """Return whether words hold any that turn a meaning, or leave it in doubt."""
        text = f" {' '.join(words)} "
        return any(f" {row} " in text for rows in self.turning.values() for row in rows)

    def without_fillers(self, words: Sequence[str]) -> list[str]:
        """Return words without the fillers at both ends."""
        own = [place for place, word in enumerate(words) if word not in self.fillers]
        return list(words[own[0] : own[-1] + 1]) if own else []

    def operative(self, word: str) -> bool:
        """Return whether a rule of contraries may hold for a word."""
        return word in self._operative or self.past(word) is not None

    def past(self, word: str) -> Past | None:
        """Return the verb that a word is the past form of; None where it is none."""
        if word in self.pasts:
            return Past(*self.pasts[word])
        if word in self.not_pasts or not re.fullmatch(r"[a-z]*[aeiouy][a-z]*ed", word) or len(word) < len("used") + 1:
            return None
        return Past(base_of(word), word)

    def rows_with_opposite(self, texts: Sequence[str]) -> Iterator[tuple[int, int, Sequence[str]]]:
        """Yield where words begin and end that have opposites, with these; the longest first, none within another."""
        taken: set[int] = set()
        for key in sorted(self.opposites, key=lambda words: -len(words.split())):
            row = key.split()
            for place in range(len(texts) - len(row) + 1):
                places = {*range(place, place + len(row))}
                if list(texts[place : place + len(row)]) == row and not places & taken:
                    taken |= places
                    yield place, place + len(row), self.opposites[key]

    def opposites_of(self, word: str) -> frozenset[str]:
        """Return the words that say the opposite of one, either way round."""
        pairs = [
            (one, other) for table in (self.opposites, self.particles) for one, all_ in table.items() for other in all_
        ]
        return frozenset(
            {other for one, other in pairs if one == word} | {one for one, other in pairs if other == word}
        )


def base_of(past: str) -> str:
    """Return the verb of a regular past form: "stay" for "stayed", "stop" for "stopped", "wipe" for "wiped"."""
    stem = past.removesuffix("ed")
    if stem.endswith("i"):
        return stem[:-1] + "y"
    if _DOUBLED.search(stem):
        return stem[:-1]
    return stem + "e" if _E_BEFORE.search(stem) or _ONE_SHORT_VOWEL.fullmatch(stem) else stem


def whole_words(words: Sequence[str]) -> list[str]:
    """Return words with what is shortened in them written out: "is not" for "isn't"."""
    return [part for word in words for part in _written_out(word).split()]


def positive(words: Sequence[str]) -> list[str]:
    """Return what stays of words without the negation in them: "is" for "isn't", nothing for "not" and "didn't"."""
    whole = whole_words(words)
    kept = [word for word in whole if word not in ("not", "did", "does", "do")]
    return kept if "not" in whole else []


def _written_out(word: str) -> str:
    if word in NOT_SHORTENED:
        return NOT_SHORTENED[word]
    if match := _WITHOUT_SIGN.fullmatch(word):
        return f"{match[1]} not"
    return next((word.removesuffix(end) + full for end, full in _ENDINGS if word.endswith(end) and word != end), word)
