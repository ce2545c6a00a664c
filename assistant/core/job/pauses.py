"""When what failed is tried again, and when it is told that all goes slowly. Arithmetic only: the time is told."""

from __future__ import annotations

from dataclasses import dataclass

FIRST, LONGEST = 0.5, 10.0
"""The first pause, and the one that is never exceeded [second]: what is plugged in again soon is soon there again, and
what stays away is not asked for all the time."""


@dataclass(frozen=True, slots=True)
class Pauses:
    """How often in a row something failed, and from when on it may be tried again: 0.5 s, 1 s, 2 s ... 10 s later."""

    failures: int = 0
    due: float = 0.0
    """By any clock that only goes forward [second]."""

    @property
    def length(self) -> float:
        """The pause after the last failure [second]; 0 where nothing failed."""
        return min(LONGEST, FIRST * 2.0 ** min(self.failures - 1, 10)) if self.failures else 0.0

    def failed(self, at: float) -> Pauses:
        """Return the same after one more failure, which was noticed at a time [second]."""
        longer = Pauses(self.failures + 1)
        return Pauses(longer.failures, at + longer.length)

    def wait(self, at: float) -> float:
        """Return how long it is still to be waited for [second]; 0 where it may be tried now."""
        return max(0.0, self.due - at) if self.failures else 0.0


SLOW_FROM, QUICK_AGAIN = 3.0, 1.5
"""A verdict that took longer is slow, and one that took less is not [second]; in between nothing changes."""
QUICK_IN_A_ROW = 8
"""So many quick verdicts, of some four utterances, show that it is over: with three it was said again and again on a
machine that was busy now and then."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Whether it is slow, so that this is told once, and once that it is over."""

    slow: bool = False
    quick: int = 0
    """So many verdicts in a row were quick."""

    def after(self, seconds: float) -> Pace:
        """Return the pace after a verdict that took so long [second]."""
        if seconds > SLOW_FROM:
            return Pace(slow=True)
        quick = self.quick + 1 if seconds < QUICK_AGAIN else 0
        return Pace(self.slow and quick < QUICK_IN_A_ROW, quick)
