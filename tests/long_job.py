"""A job that goes on for a whole day: what a person means who goes on and back and never comes to its end."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide, open_job
from assistant.core.job.state import State, evolve, fold
from assistant.core.job.wording import say_value
from assistant.core.quantities.units import Level
from assistant.core.types import Intent, Phrase
from assistant.ports import Journal
from tests.chance import forward

QUESTIONS = ("repeat", "open", "where", "why")
"""What is asked now and then, as far as it may be said."""
BACK = (2, 3, 5, 20)
"""How often in a row somebody goes back."""
USUAL = ("good", "what is wanted", "right", "between", "enough", "read off")
"""Values that are told rather than those at their edges."""
LEVELS = ("near low", "at three quarters", "above the full mark")
LEADS_NOWHERE = (e.Refused, e.Denied, e.NotUnderstood, e.StopCalled)


class Mechanic:
    """Means one thing after the other, always the same for a seed."""

    def __init__(self, seed: int = 1) -> None:
        self.chance = random.Random(seed)
        self._back = 0

    def means(self, state: State, at: datetime) -> Intent:
        """Return what is meant in a state; never what would end the job."""
        if state.parked or state.paused:
            return Intent("go-on" if state.parked else "listen")
        if self._back == 0 and self.chance.random() < 0.05:
            self._back = self.chance.choice(BACK)
        if self._back == 0 and self.chance.random() < 0.1:
            return Intent(self.chance.choice(QUESTIONS))
        meant = Intent("back") if self._back else self._onward(state, at)
        self._back = max(0, self._back - 1)
        facts = decide(state, meant, at)
        if any(isinstance(one, e.JobFinished) for one in facts):
            self._back = BACK[-1]
            return Intent("back")
        if meant.name == "back" and any(isinstance(one, e.Refused) for one in facts):
            self._back = 0
        return meant

    def _onward(self, state: State, at: datetime) -> Intent:
        """Return something that leads on, usual values before others."""
        ways = forward(state)
        self.chance.shuffle(ways)
        for one in sorted(ways, key=_unusual):
            facts = decide(state, one, at)
            if facts and not any(isinstance(fact, LEADS_NOWHERE) for fact in facts):
                return one
        return Intent("back")


def _unusual(way: Intent) -> tuple[bool, bool]:
    """Return what sorts usual words before a change of the car that nobody asked for, and values at their edges."""
    return way.name == "condition", way.value is not None and way.words not in USUAL


def wording(meant: Intent, phrases: Sequence[Phrase], chance: random.Random) -> str:
    """Return an expansion of an allowed phrase that carries an intent; empty where nothing does."""
    ways = [
        phrase.says
        for phrase in phrases
        if phrase.intent == meant.name and meant.option in (None, phrase.option) and not phrase.rare
    ]
    if not ways:
        return ""
    value = meant.value
    said = chance.choice(LEVELS) if isinstance(value, Level) else say_value(value) if value else ""
    return re.sub(r"<[a-z]+>", f"({said})", chance.choice(ways)) if said else chance.choice(ways)


def facts_of(job: Procedure, vehicle: Vehicle, at: datetime, seed: int = 1) -> Iterator[tuple[e.Event, datetime]]:
    """Yield the facts of a job that never ends, each with its time; waits are waited for."""
    opened = open_job(job, vehicle, at)
    state = fold([e.Recorded("job", 1, at, opened[0])])
    mechanic, news = Mechanic(seed), opened
    while True:
        for number, event in enumerate(news):
            if not (news is opened and number == 0):
                state = evolve(state, event, at)
            yield event, at
        at = max(at + timedelta(seconds=20), *(timer.due for timer in state.timers), at)
        news = moment(state, at, None) or decide(state, mechanic.means(state, at), at)


def write_jobs(store: Journal, job: Procedure, vehicle: Vehicle, at: datetime, count: int, facts: int) -> None:
    """Write so many unfinished jobs of so many facts, each at once: what is measured is how they are read."""
    for number in range(count):
        events = [event for event, _ in islice(facts_of(job, vehicle, at, seed=number), facts)]
        store.append(f"job-{number}", events, at)
