"""A time that runs in a job: a wait of a step, or the time after which an answer is asked for again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.core.data.procedure import Procedure

AGAIN = "/again"
"""How the name of a time ends after which its step asks again."""


@dataclass(frozen=True, slots=True)
class Timer:
    """A time that runs."""

    name: str
    """The step that waits; with `AGAIN` behind it, the step that asks again."""
    due: datetime
    minutes: float = 0.0
    """How long it runs in all [minute]; 0 where the wait of its step tells it."""

    @property
    def step(self) -> str:
        """Return the step to which it belongs."""
        return step_of(self.name)

    @property
    def again(self) -> bool:
        """Return whether something is asked again when it ends."""
        return self.name.endswith(AGAIN)

    def whole(self, procedure: Procedure) -> timedelta:
        """Return how long it runs in all."""
        wait = procedure.step(self.step).wait
        return timedelta(minutes=self.minutes or (wait.minutes if wait and not self.again else 0.0))


def step_of(name: str) -> str:
    """Return the step to which a time of that name belongs."""
    return name.removesuffix(AGAIN)
