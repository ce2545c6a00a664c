"""What time it is: the real time, or a time that is moved by hand. Nothing else in the program asks.

A wait that somebody's life or engine hangs on must not get shorter because a clock was put right meanwhile, nor must
whoever lies under the car be asked too late. So the wall clock is asked once, and moved on by one that nobody sets.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta


def _wall() -> datetime:
    return datetime.now(UTC)


def _steady() -> float:
    """Return a time that nobody sets, and that goes on while the computer sleeps [second, from anywhere]."""
    if hasattr(time, "CLOCK_BOOTTIME"):  # Linux: its other one stands still in sleep
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":  # there this one goes on, and that of Python stands still
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()  # Windows: it goes on


class SystemClock:
    """Implements `ports.Clock` with the computer's time as it was at the start, and what has passed since."""

    def __init__(self, wall: Callable[[], datetime] = _wall, steady: Callable[[], float] = _steady) -> None:
        """Take what tells the time, with an offset from UTC, and what tells how much passes [second]."""
        self._steady = steady
        self._began, self._from = wall(), steady()

    def now(self) -> datetime:
        """Return the local time with its offset from UTC; it never goes back, and leaps only where the offset does."""
        return (self._began + timedelta(seconds=self._steady() - self._from)).astimezone()

    def move(self, seconds: float) -> None:
        """Do nothing: this time passes by itself."""


class ShiftedClock(SystemClock):
    """Implements `ports.Clock` with the computer's time, moved on where simulated time is let pass: for typing."""

    def move(self, seconds: float) -> None:
        """Let time pass [second, at least 0]."""
        self._began += timedelta(seconds=max(0.0, seconds))


class MovableClock:
    """Implements `ports.Clock` with a time that only moves when it is told to: for recordings, typing and tests."""

    def __init__(self, start: datetime) -> None:
        """Take the time at which it stands first, with an offset from UTC."""
        self._now = start

    def now(self) -> datetime:
        """Return the time to which it was moved last."""
        return self._now

    def move(self, seconds: float) -> None:
        """Let time pass [second, at least 0]."""
        self._now += timedelta(seconds=max(0.0, seconds))
