"""What is left over of a text beside the phrase that it was taken for, and what follows from it. Knows no graphs.

The nearest phrase may be near, and the text mean the contrary: "it did not stay completely still". So text and phrase
are laid along each other word for word; what stands in one of them only, or in another's place, has a say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from assistant.core.hearing.contraries.turning_words import TurningWords, positive, whole_words
from assistant.core.quantities.number_words import NUMBER_WORDS

SLIP, LONG_SLIP = 4, 7
"""From so many letters on a word may be one letter, or two, beside what was meant."""
FREE = 0.1
"""What a word costs that changes nothing, where any other that is left over costs 1."""
SAME_MEANING = 0.01
"""What a word costs that is written otherwise, or said in another form."""

CLEARLY = 0.5
"""A word that leaves in doubt was said, and is no other word misheard, where a text is nearer to the phrase without it
by more than this share of its sounds."""
HARDLY = 0.2
"""The same for one that denies."""
UNLIKE = 0.62
"""A text is about something else where so much of it is unlike the phrase even without the turning words: people talk
behind who says the phrase. Of what engines wrote for a contrary 0.53 was unlike at most, but for one in loud noise."""
LEAST = 0.1
"""A word costs at least that [distance of sounds]."""
DENIALS, DOUBTS = ("negations",), ("doubts", "later")
"""Kinds of turning words: those that deny, and those that leave in doubt."""

Distance = Callable[[Sequence[str], Sequence[str]], float]
"""Tells how far apart two rows of words are by their sound."""
Lines = list[tuple[str, str]]
"""Words of a text, each beside that of a phrase at its place; empty where one has none."""


class Turn(StrEnum):
    """What follows from what is left over."""

    NONE = "none"
    DENIED = "denied"
    """It says the contrary, and nothing else."""
    DOUBTED = "doubted"
    """It may say so, or ask, or mean another time."""
    OTHER = "other"
    """It says something else too, or not all of it."""


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Judges what is left over beside phrases."""

    words: TurningWords
    same: Callable[[str, str], bool]
    """Whether a word is another one, misspelt or spelt otherwise."""

    def turn(self, text: Sequence[str], phrase: Sequence[str]) -> Turn:
        """Return what follows for a phrase from a text that was taken for it."""
        lines = self._aligned(whole_words(text), whole_words(phrase))
        turned = self.turned(lines)
        if turned is not Turn.NONE:
            return turned if turned is Turn.DOUBTED or not any(self._is_other(lines, negated=True)) else Turn.DOUBTED
        return Turn.OTHER if any(self._is_other(lines, negated=False)) else Turn.NONE

    def turned(self, lines: Lines) -> Turn:
        """Return whether what is left over denies, or leaves in doubt."""
        if self._asks(lines) or any(self._found(lines, DOUBTS)):
            return Turn.DOUBTED
        denials = len(list(self._found(lines, DENIALS))) + sum(self._is_opposite(*line) for line in lines)
        missing = sum(not one and other in self.words.turning["negations"] for one, other in lines)
        first = next((one for one, _ in lines if one), "")
        if denials + missing == 0:
            return Turn.NONE
        return Turn.DENIED if denials + missing == 1 and first != "no" else Turn.DOUBTED

    def lacks_most(self, text: Sequence[str], phrase: Sequence[str]) -> bool:
        """Return whether a text lacks more than half of the words of a phrase that say what it is about."""
        lines = [line for line in self._aligned(whole_words(text), whole_words(phrase)) if line[1]]
        known = self.words
        own = [(one, other) for one, other in lines if not known.is_light(other) and other not in known.asking]
        found = [one for one, other in own if one and (one == other or self._means(one, other))]
        return len(found) * 2 < len(own)

    def says_otherwise(self, text: Sequence[str], phrase: Sequence[str]) -> bool:
        """Return whether a text denies a phrase or leaves it in doubt, word for word, and says all else of it."""
        lines = self._aligned(whole_words(text), whole_words(phrase))
        if self.turned(lines) is Turn.NONE:
            return False
        return all(self.words.is_light(word) for word in self._is_other(lines, negated=True))

    def heard_turn(self, text: Sequence[str], phrase: Sequence[str], distance: Distance) -> Turn:
        """Return what follows for a phrase from what an engine wrote.

        An engine often writes a word of the phrase as a short word that turns: "when her tray" for "under tray". That
        is told by the sound: without a word that was said beside the phrase, a text is nearer to it.
        """
        lines = self._aligned(whole_words(text), whole_words(phrase))
        if any(self._is_opposite(*line) for line in lines):
            return Turn.DENIED
        said = [one for one, _ in lines if one]
        origin = [place for place, word in enumerate(text) for _ in whole_words([word])]
        if len(origin) != len(said):  # words were joined as the phrase spells them
            text, origin = said, list(range(len(said)))
        whole = distance(text, phrase)

        def gain(start: int, end: int) -> float:
            """Return by how much nearer a text is without some words, as a share of what their sounds cost."""
            first, last = origin[start], origin[end - 1] + 1
            kept = positive(text[first:last]) if end == start + 1 else []
            rest = [*text[:first], *kept, *text[last:]]
            without = distance(rest, phrase)
            if without > UNLIKE * max(distance(rest, []), distance([], phrase)):
                return 0.0
            return (whole - without) / max(distance(text[first:last], kept), LEAST)

        if any(gain(*place) > HARDLY for place in self._found(lines, DENIALS)):
            return Turn.DENIED
        places = [*self._found(lines, DOUBTS), *([(0, 1)] if self._asks(lines) else [])]
        return Turn.DOUBTED if any(gain(*place) > CLEARLY for place in places) else Turn.NONE

    def _asks(self, lines: Lines) -> bool:
        """Tell whether a text begins as a question does, and the phrase does not."""
        first = next((one for one, _ in lines if one and one not in self.words.fillers), "")
        meant = next((other for _, other in lines if other), "")
        return first in self.words.asking and first != meant

    def _found(self, lines: Lines, kinds: Iterable[str]) -> Iterator[tuple[int, int]]:
        """Yield where turning words of a text begin and end that the phrase has not; longer ones go before others."""
        said = [line for line in lines if line[0]]
        texts = [one for one, _ in said]
        left = [one != other for one, other in said]
        known = sorted((words.split() for kind in kinds for words in self.words.turning[kind]), key=len, reverse=True)
        for words in known:
            for place in range(len(texts) - len(words) + 1):
                if texts[place : place + len(words)] == words and any(left[place : place + len(words)]):
                    left[place : place + len(words)] = [False] * len(words)
                    yield place, place + len(words)

    def _is_opposite(self, one: str, other: str) -> bool:
        return bool(one and other) and one in self.words.opposites_of(other)

    def _is_other(self, lines: Lines, *, negated: bool) -> Iterator[str]:
        """Yield the words left over, or lacking, that have a meaning of their own."""
        turning = {word for words in self.words.turning["negations"] for word in words.split()}
        helping = {*turning, "did", "do", "does", "have", "has", "yet", "still", "both"} if negated else set()
        for one, other in lines:
            if one == other or (one and other and self._means(one, other)):
                continue
            if negated and self._is_opposite(one, other):
                continue
            yield from (word for word in (one, other) if word and word not in helping and not self._is_free(word))

    def _means(self, one: str, other: str) -> bool:
        """Tell whether a word is another one, or the form of it behind "did not" or "have not"."""
        if {one, other} & NUMBER_WORDS:
            return one == other
        past = self.words.past(other)
        return self.same(one, other) or (past is not None and one in (past.base, past.perfect))

    def _aligned(self, text: Sequence[str], phrase: Sequence[str]) -> Lines:
        """Return a text along a phrase, at the least cost."""
        text = _as_spelt(text, phrase)
        costs = [[0.0] * (len(phrase) + 1) for _ in range(len(text) + 1)]
        for row in range(len(text) + 1):
            for column in range(len(phrase) + 1):
                if row or column:
                    costs[row][column] = min(cost for cost, _, _ in self._ways(text, phrase, costs, row, column))
        return self._traced(text, phrase, costs)

    def _traced(self, text: Sequence[str], phrase: Sequence[str], costs: list[list[float]]) -> Lines:
        lines: Lines = []
        row, column = len(text), len(phrase)
        while row or column:
            _, before, beside = min(self._ways(text, phrase, costs, row, column))
            lines.append((text[row - 1] if before < row else "", phrase[column - 1] if beside < column else ""))
            row, column = before, beside
        return lines[::-1]

    def _ways(
        self, text: Sequence[str], phrase: Sequence[str], costs: list[list[float]], row: int, column: int
    ) -> Iterator[tuple[float, int, int]]:
        """Yield each way to a place, with its cost and where it comes from."""
        if row:
            yield costs[row - 1][column] + self._alone(text[row - 1]), row - 1, column
        if column:
            yield costs[row][column - 1] + self._alone(phrase[column - 1]), row, column - 1
        if row and column:
            one, other = text[row - 1], phrase[column - 1]
            beside = 0.0 if one == other else SAME_MEANING if self._means(one, other) else self._beside(one, other)
            yield costs[row - 1][column - 1] + beside, row - 1, column - 1

    def _is_free(self, word: str) -> bool:
        return self.words.changes_nothing(word)

    def _alone(self, word: str) -> float:
        return FREE if self._is_free(word) else 1.0

    def _beside(self, one: str, other: str) -> float:
        """Return what it costs that a word stands where another was meant."""
        return 0.9 if self._is_opposite(one, other) else max(1.5, self._alone(one) + self._alone(other))


def _as_spelt(text: Sequence[str], phrase: Sequence[str]) -> list[str]:
    """Return a text with those words joined, or parted, that a phrase has in one, or in two."""
    joined = {one + other: (one, other) for one, other in pairwise(phrase)}
    found: list[str] = []
    for word in text:
        if found and found[-1] + word in phrase and word not in phrase:
            found[-1] += word
        elif word in joined and word not in phrase:
            found += joined[word]
        else:
            found.append(word)
    return found


def is_slip(one: str, other: str) -> bool:
    """Return whether a word is as near to another as a slip of the fingers."""
    most = 0 if len(other) < SLIP else 1 if len(other) < LONG_SLIP else 2
    return one[:1] == other[:1] and abs(len(one) - len(other)) <= most and _apart(one, other) <= most


def _apart(one: str, other: str) -> int:
    """Return in how many letters two words differ; two that changed places are one."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for place, letter in enumerate(one, 1):
        after = [place]
        for at, meant in enumerate(other, 1):
            cost = min(row[at] + 1, after[at - 1] + 1, row[at - 1] + (letter != meant))
            if place > 1 and at > 1 and letter == other[at - 2] and meant == one[place - 2]:
                cost = min(cost, before[at - 2] + 1)
            after.append(cost)
        before, row = row, after
    return row[-1]
