"""The calendar file against the rules of RFC 5545, read by hand and by another library."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from dateutil.parser import isoparse
from icalendar import Calendar

from assistant.adapters.calendar_file import calendar_bytes, write_calendar
from assistant.core.errors import DeviceError
from assistant.core.reply.reminder import Reminder

REMINDER = Reminder(
    uid="oil-and-filter-tarnwick-plover-16@workshop",
    day=date(2027, 3, 14),
    title="Engine oil and filter, Tarnwick Plover",
    text="At 99200 kilometres, or on this day; parts: filter, washer, 4.3 L of oil; " + "ö" * 60,
    made_at=datetime(2026, 3, 14, 10, 30, tzinfo=UTC),
)


def content_lines(data: bytes) -> list[str]:
    """Undo the folding of RFC 5545, section 3.1: a line break and a blank are nothing."""
    return data.decode().replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")


def test_it_keeps_the_rules_of_the_standard() -> None:
    data = calendar_bytes(REMINDER)
    assert b"\n" not in data.replace(b"\r\n", b"")  # section 3.1: lines end with CRLF
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))  # section 3.1: at most 75 octets
    lines = content_lines(data)
    assert lines[0] == "BEGIN:VCALENDAR" and lines[-2] == "END:VCALENDAR"
    for once in ("PRODID:", "VERSION:2.0", "UID:", "DTSTAMP:"):  # sections 3.6 and 3.6.1: each exactly once
        assert sum(line.startswith(once) for line in lines) == 1, once


def test_it_is_a_whole_day_that_ends_when_the_next_begins() -> None:
    lines = content_lines(calendar_bytes(REMINDER))
    assert "DTSTART;VALUE=DATE:20270314" in lines  # section 3.6.1: an anniversary or a day has a date alone
    assert "DTEND;VALUE=DATE:20270315" in lines  # section 3.6.1: the end is not in it
    assert "TRIGGER:-P14D" in lines  # section 3.3.6: a duration of 14 days before
    [stamp] = [line.partition(":")[2] for line in lines if line.startswith("DTSTAMP:")]
    assert isoparse(stamp) == REMINDER.made_at and stamp.endswith("Z")  # section 3.8.7.2: in UTC


def test_what_is_read_back_is_what_was_written(tmp_path: Path) -> None:
    file = write_calendar(REMINDER, tmp_path / "next.ics")
    [event] = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert (str(event["summary"]), str(event["description"])) == (REMINDER.title, REMINDER.text)
    assert str(event["uid"]) == REMINDER.uid
    assert [path.name for path in tmp_path.iterdir()] == ["next.ics"]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="Choose another folder"):
        write_calendar(REMINDER, tmp_path / "none" / "next.ics")
