"""Asks which of several unfinished jobs to take up, and hears the answer. Knows neither microphone nor keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from assistant.core.hearing.verdict.found import Match
from assistant.core.job.which_job import MOST, TAKE_UP, Offer, offer
from assistant.core.types import Verdict

AGAIN_AFTER, PATIENCE = 20.0, 60.0
"""After how long without an answer it is asked once more, and after how long the job that was heard last is taken up
[second]: somebody may lie under that car, and is looked after only in a job."""
URGENT = ("alarm", "danger")
"""Intents of the general phrases that are heard before there is a job, too."""
UNCLEAR = "I don't know which. Say, for instance: carry on with the first one."


@dataclass(frozen=True, slots=True)
class Choice:
    """Which job is taken up, and what else was said."""

    name: str
    urgent: str = ""
    """The intent of who called for help, or said that the car is not safe, instead of an answer."""


def choose(
    offers: Sequence[Offer], heard: Iterable[tuple[Match | None, float]], say: Callable[[str], None]
) -> Choice | None:
    """Return the job that somebody calls; the first one where nobody does, or somebody needs help; None where nothing
    comes any more.

    The first of the offers was heard last. `heard` yields what was understood, or None, and the time since the last of
    them [second].
    """
    asked = offer(offers[:MOST], max(0, len(offers) - MOST))
    say(asked)
    waited, told_again = 0.0, False
    for match, seconds in heard:
        waited += seconds
        best = match.best.phrase if match and match.best and match.verdict is Verdict.ACCEPTED else None
        if best and best.intent == TAKE_UP and best.option:
            return Choice(best.option)
        if best and best.intent in URGENT:
            return Choice(offers[0].name, best.intent)
        if match and (best or match.verdict is Verdict.UNCLEAR):
            say(asked if best and best.intent == "repeat" else UNCLEAR)
            waited = 0.0
        elif waited > PATIENCE:
            return Choice(offers[0].name)
        elif waited > AGAIN_AFTER and not told_again:
            told_again = True
            say(asked)
    return None
