"""A day to be reminded of, as a calendar can keep it. Pure: the day it was made comes in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime

from assistant.core.compute.base.result import Answer, Finding
from assistant.core.job import known
from assistant.core.job.state import State
from assistant.core.job.wording import show_for_owner
from assistant.core.quantities.units import Amount, Kind


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
    """Return the reminder of when a job is next due; None where its plan has no date, or it was not done."""
    day = None if state.stopped else _day(state)
    if not day:
        return None
    title = f"{state.procedure.title}, {state.vehicle.title}"
    text = f"Last done on {state.opened_at.date().isoformat()}."
    if at := _distance(state):
        text += f" Due on this day, or at {show_for_owner(state, at)} if that is sooner."
    uid = f"{state.procedure.id}-{state.vehicle.id}-{state.opened_at:%Y%m%dT%H%M%S}@workshop"
    return Reminder(uid, day, title, text, now)


def _worked_out(state: State) -> Iterator[Amount | str]:
    """Yield what the job works out for its report."""
    for name, computed in state.procedure.computed.items():
        if computed.report:
            with suppress(known.Missing):
                yield known.words_or_amount(state, name)


def _day(state: State) -> date | None:
    for found in _worked_out(state):
        if isinstance(found, str):
            with suppress(ValueError):
                return date.fromisoformat(found)
    return None


def _distance(state: State) -> Amount | None:
    found = (one for one in _worked_out(state) if isinstance(one, Amount) and one.kind is Kind.DISTANCE)
    return next(found, None)


def of_answer(answer: Answer, now: datetime) -> Reminder:
    """Return the reminder of a day that `next-due` gave."""
    assert isinstance(answer, Finding)
    day = date.fromisoformat(answer.value)
    given = dict(answer.inputs)
    return Reminder(f"service-{given['day']}-{day}@workshop", day, "A service is due", answer.because, now)
