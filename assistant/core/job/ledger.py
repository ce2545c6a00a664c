"""What is open: everything loosened, removed or opened that still has to be put back. Never forgets on its own."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.data.part import Part
from assistant.core.data.procedure import Procedure


@dataclass(frozen=True, slots=True)
class Ledger:
    """The open parts, in the order in which they were opened."""

    parts: tuple[str, ...] = ()

    def opened(self, part: str) -> Ledger:
        """Return the ledger with that part open."""
        return self if part in self.parts else Ledger((*self.parts, part))

    def closed(self, part: str) -> Ledger:
        """Return the ledger without that part."""
        return Ledger(tuple(other for other in self.parts if other != part))

    def open_in(self, procedure: Procedure) -> tuple[Part, ...]:
        """Return the open parts with what the procedure knows of them."""
        return tuple(procedure.part(part) for part in self.parts)
