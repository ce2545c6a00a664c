"""Where something stands in the files, and by which way through groups it came to where it is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

Place = tuple[int | str, ...]
"""The way to a field in a file, as keys and places in lists."""


@dataclass(frozen=True)
class Use:
    """A place at which a group is used."""

    group: str
    file: str
    place: Place


@dataclass(frozen=True)
class Origin:
    """A place in a file, and the uses of groups through which it was reached, the outermost first."""

    file: str
    place: Place = ()
    way: tuple[Use, ...] = ()

    def down(self, *keys: int | str) -> Origin:
        """Return the place of what stands below."""
        return replace(self, place=(*self.place, *keys))


@dataclass(frozen=True)
class Fault:
    """What is wrong at a place; `other` is a second place that it has to do with."""

    at: Origin
    why: str
    other: Origin | None = None


class UnfoldError(Exception):
    """A short form that can't be unfolded, with every fault that was found."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("; ".join(fault.why for fault in faults))
        self.faults = faults


@dataclass(frozen=True)
class Piece:
    """Something unfolded: its plain data, where it came from, and where parts of it came from, if from elsewhere."""

    data: Any
    at: Origin
    inner: Mapping[Place, Origin] = field(default_factory=dict)


@dataclass(frozen=True)
class Flat:
    """A job without any short form, and the way back from each place in it."""

    data: Any
    origins: Mapping[Place, Origin]

    def origin(self, place: Place) -> Origin:
        """Return where a place of the flat job was written."""
        known = next(place[:length] for length in range(len(place), -1, -1) if place[:length] in self.origins)
        return self.origins[known].down(*place[len(known) :])


@dataclass
class Ledger:
    """The faults found so far, and how much was unfolded: what grows without end is stopped."""

    most: int
    faults: dict[tuple[str, Place, str], Fault] = field(default_factory=dict)
    """Each fault once, however many uses lead to it."""
    spent: int = 0

    def fault(self, at: Origin, why: str, other: Origin | None = None) -> None:
        """Note a fault."""
        self.faults.setdefault((at.file, at.place, why), Fault(at, why, other))

    def spend(self, at: Origin, count: int = 1) -> None:
        """Count values that are unfolded; UnfoldError where they are too many."""
        self.spent += count
        if self.spent > self.most:
            self.fault(at, f"it unfolds into more than {self.most} values: take fewer groups and shorter lists")
            raise self.error()

    def error(self) -> UnfoldError:
        """Return all faults as one error."""
        return UnfoldError(tuple(self.faults.values()))
