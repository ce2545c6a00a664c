"""Whether an utterance begins with the words by which the assistant is called. Never decides what the rest means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from assistant.core.errors import DataError
from assistant.core.hearing.verdict.found import Match
from assistant.core.types import Phrase

ATTENTIVE = timedelta(seconds=8)
"""How long after a call, or after its own words, it need not be called. A choice; no published figure was found."""


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


def with_call(phrases: Sequence[Phrase], call: Phrase) -> tuple[Phrase, ...]:
    """Return the phrases as they may be said with the call before them, and the call alone."""
    return (call, *(replace(phrase, says=f"[{call.says}] ({phrase.says})") for phrase in phrases))


def called(match: Match, call: Phrase) -> bool:
    """Return whether what was heard begins with the call."""
    return match.best is not None and match.best.words.startswith(call.says)
