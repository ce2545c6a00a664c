"""Whether an utterance begins with the words by which the assistant is called. Never decides what the rest means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from assistant.core.errors import DataError
from assistant.core.hearing.matching import Matcher
from assistant.core.types import Hypothesis, Phrase

ATTENTIVE = timedelta(seconds=8)
"""How long after a call, or after its own words, it need not be called. A choice; no published figure was found."""

MOST_SPLIT = 2
"""So many words more than the call has may be written for it: one that is not known is written as several."""

FIT = -0.18
"""Score from which words are the call: of "hello workshop", "the low work shot" and "hello work shop" were written by a
recogniser and score -0.14 and above; "the workshop" and "yellow paint shop" are other talk and score -0.22 and below."""


@dataclass(frozen=True, slots=True)
class Attention:
    """The words of a call, and a matcher for them alone."""

    call: Phrase
    matcher: Matcher

    def after_call(self, heard: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
        """Return the writings that begin with the call, without it; whole where nothing follows it."""
        found = []
        for item in heard:
            words = item.text.split()
            if length := self._call_length(words):
                found.append(replace(item, text=" ".join(words[length:]) or item.text))
        return tuple(found)

    def _call_length(self, words: Sequence[str]) -> int:
        """Return how many words at the beginning sound most like the call; 0 where none do."""
        longest = min(len(words), len(self.call.says.split()) + MOST_SPLIT)
        scores = {length: self._score(" ".join(words[:length])) for length in range(1, longest + 1)}
        best = max(scores, key=lambda length: scores[length], default=0)
        return best if scores.get(best, FIT - 1) >= FIT else 0

    def _score(self, text: str) -> float:
        match = self.matcher.match((Hypothesis(text, 0.0, ""),))
        return match.best.score if match.best else FIT - 1


def call_phrase(words: str) -> Phrase:
    """Return a call as a phrase; DataError where it is too short to be told from talk, or is not plain words."""
    plain = " ".join(words.lower().split())
    if not re.fullmatch(r"[a-z']+( [a-z']+)+", plain):
        raise DataError(
            f"the attention words {words!r} can't be used: give two words or more, letters only, for instance "
            "'hello workshop'",
            say="The attention words must be two plain words or more.",
        )
    return Phrase("attend", plain)
