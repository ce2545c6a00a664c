"""What two texts give with a stretch of words taken from the other: each may have right what the other has wrong."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import SequenceMatcher


def crossed(text: str, other: str) -> Iterator[str]:
    """Yield a text with one stretch of its words as it is in another, for each stretch in which they differ."""
    words, others = text.split(), other.split()
    for tag, start, end, from_, to in SequenceMatcher(None, words, others, autojunk=False).get_opcodes():
        if tag != "equal":
            yield " ".join([*words[:start], *others[from_:to], *words[end:]])
