"""What time it is: the real time, or a time that is moved by hand. Nothing else in the program asks."""

from __future__ import annotations

from datetime import datetime, timedelta


class SystemClock:
    """Implements `ports.Clock` with the computer's time."""

    def now(self) -> datetime:
        """Return the local time with its offset from UTC."""
        return datetime.now().astimezone()

    def move(self, seconds: float) -> None:
        """Do nothing: this time passes by itself."""


class ShiftedClock:
    """Implements `ports.Clock` with the computer's time, moved on where simulated time is let pass: for typing."""

    def __init__(self) -> None:
        self._ahead = timedelta()

    def now(self) -> datetime:
        """Return the local time, moved on by all that was let pass."""
        return datetime.now().astimezone() + self._ahead

    def move(self, seconds: float) -> None:
        """Let time pass [second, at least 0]."""
        self._ahead += timedelta(seconds=max(0.0, seconds))


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
