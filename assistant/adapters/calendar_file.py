"""Writes a reminder as a calendar file (iCalendar, RFC 5545). Whole or not at all."""

from __future__ import annotations

from datetime import UTC, timedelta
from pathlib import Path

from assistant.core.errors import DeviceError
from assistant.core.reply.reminder import Reminder
from assistant.system.whole_file import write_whole

WARNS_BEFORE = timedelta(days=14)
"""Time to buy the parts. Common practice, no source."""


def calendar_bytes(reminder: Reminder) -> bytes:
    """Return the calendar file of a reminder: one event of a whole day that warns two weeks before."""
    from icalendar import Alarm, Calendar, Event  # takes a fifth of a second to load, and most commands need none

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", reminder.title)
    alarm.add("trigger", -WARNS_BEFORE)
    event = Event()
    event.add("uid", reminder.uid)
    event.add("dtstamp", reminder.made_at.astimezone(UTC))
    event.add("dtstart", reminder.day)
    event.add("dtend", reminder.day + timedelta(days=1))  # the end is the first day that is free again
    event.add("summary", reminder.title)
    event.add("description", reminder.text)
    event.add("transp", "TRANSPARENT")  # it blocks no meeting
    event.add_component(alarm)
    calendar = Calendar()
    calendar.add("prodid", "-//workshop voice assistant//EN")
    calendar.add("version", "2.0")
    calendar.add_component(event)
    return bytes(calendar.to_ical())


def write_calendar(reminder: Reminder, file: Path) -> Path:
    """Write the calendar file and return its path; `DeviceError` where the disk refuses. An old one stays till then."""
    try:
        write_whole(file, calendar_bytes(reminder))
    except OSError as error:
        raise DeviceError(f"{file}: it can't be written: {error.strerror}. Choose another folder.") from error
    return file
