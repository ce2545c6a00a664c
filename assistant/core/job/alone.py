"""Care for someone alone: what the passing of time brings. Silence never decides anything; it is asked about.

Pre-agreed intervals, an alarm, and a test of it: HSE INDG73, Lone workers (2020), which names no minutes. The first
interval is the owner's; that the next ones are shorter is common practice, no source.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from assistant.core.job import events as e
from assistant.core.job.conditions import driving, may_be_under
from assistant.core.job.moving import Draft
from assistant.core.job.state import State

AFTER_FIRST = (timedelta(minutes=2), timedelta(minutes=1))
"""After how long without an answer it is asked again, and after how long the alarm is raised."""
ALARM = 3
"""From this level on nobody answered, and the alarm sounds."""
ALARM_AGAIN = timedelta(seconds=20)
"""After how long the alarm sounds again, until somebody answers."""
DRIVING = timedelta(hours=1)
"""After how long, beside the time that the step takes, nobody came back from a drive. Common practice, no source."""


def moment(state: State, at: datetime, check_in_after: timedelta | None) -> tuple[e.Event, ...]:
    """Return the facts that the passing of time brings: times that ended, and care for someone alone.

    Nothing heard from under the car for `check_in_after` brings a question, then a louder one, then the alarm, again
    and again until they answer. Who called for help hears the alarm until they say that all is well.
    """
    draft = Draft(state, at)
    if not (state.finished_at or state.parked):
        for timer in state.timers:
            if timer.due <= at:
                draft.add(e.TimerEnded(timer.name))
    due = _due(state, check_in_after)
    if due and at >= due:
        silent = driving(state) and not state.calling
        draft.add(e.CheckedIn(max(state.check_in + 1, ALARM) if silent else state.check_in + 1))
    return tuple(draft.events)


def _due(state: State, first: timedelta | None) -> datetime | None:
    """Return when the person is to be asked, or the alarm is to sound, next.

    After a question it is counted from when that was asked: also where the computer slept they get time to answer.
    """
    if not state.heard_at:
        return None
    since = state.asked_at or state.heard_at
    if state.calling:
        return since + ALARM_AGAIN
    if first and driving(state):
        wait = state.here.wait
        longest = DRIVING + timedelta(minutes=wait.minutes if wait else 0)
        return since + (ALARM_AGAIN if state.check_in else max(longest, first))
    if not first or not may_be_under(state):
        return None
    waits = (first, *AFTER_FIRST)
    return since + (waits[state.check_in] if state.check_in < len(waits) else ALARM_AGAIN)
