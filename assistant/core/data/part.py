"""A part that a job opens and puts back, and how it is fastened."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from assistant.core.data.base import Data, Name
from assistant.core.data.car import Act


class Part(Data):
    """Something that the job loosens, removes or opens and must put back."""

    id: Name
    name: str
    blocks: tuple[Act, ...] = ()
    """What must not be done with the car while it is open: no engine is started that would leak or run dry."""
    torque: Name | None = None
    """The vehicle's value to which it is tightened."""
    count: int | Name | None = None
    """How many fasteners it has: a number, or the name of a value."""
    order: Literal["star", "inside-out"] | None = None
    """In which order they are tightened: around a ring, or a cover from its middle outwards."""
    rows: Annotated[int, Field(ge=1, le=12)] = 2
    """Of a cover: in how many rows its fasteners lie."""
    angle: Name | None = None
    """The vehicle's value by which it is turned further after the torque."""
    once: str = ""
    """What may be used once only and must be new when it is closed: "the washer"."""

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the values by which it is fastened, the torque last."""
        count = self.count if isinstance(self.count, str) else None
        return tuple(name for name in (count, self.angle, self.torque) if name)
