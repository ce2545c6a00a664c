"""What is said of each kind of fact, in a file for each of their subjects (`job/events/`)."""

from __future__ import annotations

from assistant.core.job import events as e
from assistant.core.job.state import State
from assistant.core.reply.acknowledging import beside, gates, job, person, steps, talk, values
from assistant.core.reply.acknowledging import car as vehicle
from assistant.core.reply.acknowledging.words import Words

SAID: dict[type[e.Event], Words] = {
    **job.SAID,
    **steps.SAID,
    **gates.SAID,
    **values.SAID,
    **vehicle.SAID,
    **talk.SAID,
    **person.SAID,
    **beside.SAID,
}
"""The words of each kind of fact; of those that are not here nothing is said."""


def acknowledge(before: State, event: e.Event, after: State) -> str:
    """Return what is said of a fact that was just added; empty where nothing is."""
    say = SAID.get(type(event))
    return say(before, event, after) if say else ""
