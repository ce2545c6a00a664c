"""The sounds of English and how far apart they are: what a recogniser takes for what, by articulation.

Phonemes are ARPAbet without stress, as the CMU dictionary has them. The weights are a model by place,
manner and voice; they are no measurement.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

Lexicon = Callable[[str], tuple[tuple[str, ...], ...]]
"""Gives every pronunciation of a word, at least one."""

BOUNDARY = "#"
"""Between two words."""

_VOWELS = {  # height 0 open .. 1 close; backness 0 front .. 1 back; rounded
    "IY": (1.0, 0.0, 0), "IH": (0.8, 0.15, 0), "EY": (0.7, 0.05, 0), "EH": (0.5, 0.1, 0), "AE": (0.2, 0.1, 0),
    "AA": (0.0, 0.8, 0), "AO": (0.3, 1.0, 1), "OW": (0.6, 1.0, 1), "UH": (0.8, 0.85, 1), "UW": (1.0, 0.9, 1),
    "AH": (0.4, 0.6, 0), "ER": (0.5, 0.55, 0), "AY": (0.3, 0.4, 0), "AW": (0.3, 0.8, 1), "OY": (0.5, 0.8, 1),
}  # fmt: skip
_CONSONANTS = {  # place 0 lips .. 1 throat; manner; voiced
    "P": (0.0, "stop", 0), "B": (0.0, "stop", 1), "T": (0.4, "stop", 0), "D": (0.4, "stop", 1), "K": (0.8, "stop", 0),
    "G": (0.8, "stop", 1), "CH": (0.5, "affricate", 0), "JH": (0.5, "affricate", 1), "F": (0.1, "fricative", 0),
    "V": (0.1, "fricative", 1), "TH": (0.3, "fricative", 0), "DH": (0.3, "fricative", 1), "S": (0.4, "fricative", 0),
    "Z": (0.4, "fricative", 1), "SH": (0.5, "fricative", 0), "ZH": (0.5, "fricative", 1), "HH": (1.0, "fricative", 0),
    "M": (0.0, "nasal", 1), "N": (0.4, "nasal", 1), "NG": (0.8, "nasal", 1), "L": (0.4, "liquid", 1),
    "R": (0.5, "liquid", 1), "W": (0.2, "glide", 1), "Y": (0.6, "glide", 1),
}  # fmt: skip
_NEAR_MANNERS = {
    frozenset(pair)
    for pair in (("stop", "affricate"), ("affricate", "fricative"), ("liquid", "glide"), ("nasal", "liquid"))
}

PHONEMES = (BOUNDARY, *sorted((*_VOWELS, *_CONSONANTS)))
INDEX = {phoneme: index for index, phoneme in enumerate(PHONEMES)}

_WEAK = {
    "AH": 0.45,
    "HH": 0.45,
    "T": 0.6,
    "D": 0.6,
    "ER": 0.7,
    "R": 0.7,
    "L": 0.75,
    "IH": 0.65,
    "N": 0.75,
    BOUNDARY: 0.15,
}
"""Sounds that are often swallowed or heard where there are none; all others cost `LOSS`."""
LOSS = 0.9


def _between_vowels(one: str, other: str) -> float:
    (height, back, rounded), (height2, back2, rounded2) = _VOWELS[one], _VOWELS[other]
    return min(0.75, 0.15 + 0.45 * abs(height - height2) + 0.4 * abs(back - back2) + 0.1 * (rounded != rounded2))


def _between_consonants(one: str, other: str) -> float:
    (place, manner, voiced), (place2, manner2, voiced2) = _CONSONANTS[one], _CONSONANTS[other]
    far = 0.0 if manner == manner2 else 0.3 if frozenset((manner, manner2)) in _NEAR_MANNERS else 0.6
    return min(1.0, 0.1 + 0.6 * abs(place - place2) + far + 0.2 * (voiced != voiced2))


def distance(one: str, other: str) -> float:
    """Return how unlike two sounds are: 0 the same, 1 as unlike as can be."""
    if one == other:
        return 0.0
    if BOUNDARY in (one, other):
        return 1.2
    if one in _VOWELS and other in _VOWELS:
        return _between_vowels(one, other)
    if one in _CONSONANTS and other in _CONSONANTS:
        return _between_consonants(one, other)
    return 0.6 if {one, other} in ({"ER", "R"}, {"IY", "Y"}, {"UW", "W"}) else 1.1


@cache
def substitution() -> NDArray[np.float32]:
    """Return the distance of every two phonemes, by `INDEX`."""
    return np.array([[distance(one, other) for other in PHONEMES] for one in PHONEMES], dtype=np.float32)


@cache
def loss() -> NDArray[np.float32]:
    """Return what it costs that a sound is missing, or is there without a reason, by `INDEX`."""
    return np.array([_WEAK.get(phoneme, LOSS) for phoneme in PHONEMES], dtype=np.float32)


def sounds_of(words: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the phonemes of a text in its first pronunciation, with boundaries around every word."""
    sounds = [BOUNDARY]
    for word in words.split():
        sounds += [*lexicon(word)[0], BOUNDARY]
    return tuple(sounds)


def apart(one: Sequence[str], other: Sequence[str]) -> float:
    """Return what it costs to take one row of sounds for another [distance of sounds]."""
    row = list(accumulate((_loss_of(sound) for sound in other), initial=0.0))
    for sound in one:
        after = [row[0] + _loss_of(sound)]
        for place, meant in enumerate(other):
            after.append(
                min(row[place + 1] + _loss_of(sound), after[-1] + _loss_of(meant), row[place] + distance(sound, meant))
            )
        row = after
    return row[-1]


def _loss_of(sound: str) -> float:
    return _WEAK.get(sound, LOSS)
