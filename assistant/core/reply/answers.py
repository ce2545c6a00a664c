"""State and events to words, tone, and what is shown. Every reply is made here; nothing here decides anything.

Written for the ear: what was heard first, then one action; the number last; units in full.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from assistant.core.job import events as e
from assistant.core.job.alone import ALARM
from assistant.core.job.state import State
from assistant.core.reply.acknowledging import acknowledge
from assistant.core.reply.asking import ask, present
from assistant.core.reply.leading_on import lead_on
from assistant.core.types import Reply, Tone

__all__ = ["answer", "ask", "present"]

_ASIDE = (e.Asked, e.LeftAlone, e.TimerEnded, e.CheckedIn, e.HelpCalled, e.HelpTried, e.CameOut)
"""Facts after which nothing leads on: what was waited for is still waited for."""


def answer(before: State, events: Sequence[e.Event], after: State) -> Reply:
    """Return what to say and show after these events, which led from one state to the other."""
    parts = [text for event in _told(events) if (text := acknowledge(before, event, after))]
    came_out = after.stopping and any(isinstance(event, e.CameOut) for event in events)
    if came_out or not all(isinstance(event, _ASIDE) for event in events):
        parts += lead_on(before, events, after)
    say = " ".join(part for part in parts if part)
    return Reply(say, say, _tone(events, after))


def _told(events: Sequence[e.Event]) -> Iterable[e.Event]:
    """Return the facts that are told one by one: of a car that is not safe all is said by that."""
    unsafe = any(isinstance(event, e.DangerSaid) for event in events)
    return (event for event in events if not (unsafe and isinstance(event, e.ConditionChanged)))


def _tone(events: Sequence[e.Event], after: State) -> Tone:
    if any(isinstance(event, e.CheckedIn) for event in events):
        return Tone.ALARM if after.check_in >= ALARM or after.calling else Tone.WARN
    if any(isinstance(event, e.HelpCalled | e.DangerSaid) for event in events):
        return Tone.ALARM
    if any(isinstance(event, e.Refused | e.Denied | e.StopCalled) for event in events):
        return Tone.WARN
    if any(isinstance(event, e.NotUnderstood | e.ClaimHeard) for event in events):
        return Tone.ASK
    if any(isinstance(event, e.StepDone | e.TimerEnded | e.JobFinished | e.JobStopped) for event in events):
        return Tone.DONE
    return Tone.PLAIN
