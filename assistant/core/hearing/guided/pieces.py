"""Holds the pieces of words in which a recogniser writes, and cuts words into them. Never reads a file.

Byte-pair encoding as SentencePiece does it (Kudo and Richardson 2018, Sennrich et al. 2016): of all neighbours
whose union is a piece too, those with the lowest number are joined first.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

GAP = "▁"
"""Begins a piece that begins a word."""


class Pieces:
    """A vocabulary; a piece is known by its number."""

    def __init__(self, texts: Sequence[bytes], special: int) -> None:
        """Take the bytes of each piece, in order; the first `special` ones stand for no text."""
        self._texts = texts
        self._numbers = {_text(piece): number for number, piece in enumerate(texts) if number >= special}
        self._cut: dict[str, tuple[int, ...]] = {}

    def __len__(self) -> int:
        return len(self._texts)

    def cut(self, text: str) -> tuple[int, ...] | None:
        """Return the pieces of a text, whose gaps are written as `GAP`; None where a letter is no piece."""
        if text not in self._cut:
            self._cut[text] = self._joined(list(text))
        found = self._cut[text]
        return found or None

    def _joined(self, parts: list[str]) -> tuple[int, ...]:
        while True:
            pairs = [self._numbers.get(one + other) for one, other in pairwise(parts)]
            known = [number for number in pairs if number is not None]
            if not known:
                break
            place = pairs.index(min(known))
            parts[place : place + 2] = [parts[place] + parts[place + 1]]
        numbers = [self._numbers.get(part) for part in parts]
        return () if None in numbers else tuple(number for number in numbers if number is not None)

    def text(self, numbers: Sequence[int]) -> str:
        """Return the text that pieces spell."""
        return _text(b"".join(self._texts[number] for number in numbers)).replace(GAP, " ").strip()


def _text(piece: bytes) -> str:
    return piece.decode("utf-8", "replace")
