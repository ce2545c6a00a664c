"""Definitions of a job and of the groups that it takes, brought together. What comes twice has to be the same."""

from __future__ import annotations

from typing import Any

from assistant.core.data.short_form.places import Ledger, Origin, Piece, Place

NAMED = ("values", "notes", "computed", "fluids")
"""Sections with a name before each entry."""
WITH_ID = ("parts", "conditions", "gates", "safe_ends")
"""Sections whose entries have an id."""
PLAIN = ("one_of", "built", "exposure", "things")
"""Sections whose entries have nothing to call them by: the same one counts once."""
SECTIONS = (*NAMED, *WITH_ID, *PLAIN)


class Definitions:
    """What was defined so far, a section each, in the order in which it was met."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self._pieces: dict[str, list[tuple[Any, Piece]]] = {}
        self._known: dict[tuple[str, Any], Piece] = {}

    def add(self, section: str, key: Any, piece: Piece) -> None:
        """Take an entry in; another one of the same name and another content is a fault at both."""
        known = self._known.get((section, key))
        if known is None:
            self._known[section, key] = piece
            self._pieces.setdefault(section, []).append((key, piece))
        elif known.data != piece.data:
            self._ledger.fault(piece.at, f"{key} is defined twice, and differs", known.at)

    def lay_out(self, data: dict[str, Any], origins: dict[Place, Origin]) -> None:
        """Write all sections into a flat job."""
        for section, pieces in self._pieces.items():
            names = [key for key, _ in pieces] if section in NAMED else [*range(len(pieces))]
            plain = dict(zip(names, (piece.data for _, piece in pieces), strict=True))
            data[section] = plain if section in NAMED else [*plain.values()]
            for name, (_, piece) in zip(names, pieces, strict=True):
                trace(origins, (section, name), piece)


def trace(origins: dict[Place, Origin], place: Place, piece: Piece) -> None:
    """Note where a piece, and what in it came from elsewhere, was written."""
    origins[place] = piece.at
    origins.update({(*place, *inner): at for inner, at in piece.inner.items()})
