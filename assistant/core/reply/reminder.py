"""A day to be reminded of, as a calendar can keep it. Pure: the day it was made comes in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from assistant.core.compute.base.result import Answer, Finding
from assistant.core.job import known as facts
from assistant.core.job.state import State
from assistant.core.job.wording import show_for_owner


@dataclass(frozen=True, slots=True)
class Reminder:
    """An event of one whole day."""

    uid: str
    """Always the same for the same job, so that a calendar that gets it twice keeps it once."""
    day: date
    title: str
    text: str
    made_at: datetime
    """With its time zone."""


def next_time(state: State, now: datetime) -> Reminder | None:
    """Return the reminder of when a job is next due; None where its plan has no date."""
    day = facts.next_day(state)
    if not day:
        return None
    title = f"{state.procedure.title}, {state.vehicle.title}"
    text = f"Last done on {state.opened_at.date().isoformat()}."
    if state.last("odometer") and state.spec("interval-distance"):
        text += (
            f" Due on this day, or at {show_for_owner(state, facts.value(state, 'next-distance'))} if that is sooner."
        )
    uid = f"{state.procedure.id}-{state.vehicle.id}-{state.opened_at:%Y%m%dT%H%M%S}@workshop"
    return Reminder(uid, day, title, text, now)


def of_answer(answer: Answer, now: datetime) -> Reminder:
    """Return the reminder of a day that `next-due` gave."""
    assert isinstance(answer, Finding)
    day = date.fromisoformat(answer.value)
    given = dict(answer.inputs)
    return Reminder(f"service-{given['day']}-{day}@workshop", day, "Car service is due", answer.because, now)
