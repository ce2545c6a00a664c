"""The owner's own command for an alarm: sets it, shows it, tries it, and gives it to a job. Prints nothing."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.core.data.program_words import words
from assistant.core.data.settings import LIMIT, Alarm, Settings
from assistant.core.errors import DataError, DeviceError
from assistant.path.desk import Desk

HOW = 'assistant alarm --set "COMMAND"'
UNSET = f"no command for an alarm is set: in an emergency nobody is called. Set one with: {HOW}"


@dataclass(frozen=True, slots=True)
class Care:
    """How a job looks after someone alone."""

    check_in_after: timedelta
    words: tuple[str, ...] = ()
    """The command that calls for help, word by word; none where nobody is called."""
    limit: float = LIMIT
    """How long it may take [second]."""
    note: str = ""
    """What the person should know of it."""


def care(data: Path, command: str | None, *, off: bool, typed: bool, recorded: bool) -> Care:
    """Return how a job looks after someone alone, by the settings and by a command for this run alone.

    Sound files call nobody, and typed lines only by a command that was given with them: both are mostly trials.
    DataError where the settings are wrong.
    """
    if command and recorded:
        raise DataError("sound files call nobody: leave --alarm out, or do the job with a microphone or with --typed")
    settings = wiring.settings(data)
    first, kept = timedelta(minutes=settings.check_in_minutes), settings.alarm
    limit = kept.seconds if kept else LIMIT
    if command:
        return Care(first, words(command), limit)
    if off or typed or recorded:
        return Care(first)
    return Care(first, words(kept.command), limit) if kept else Care(first, note=UNSET)


def take_care(desk: Desk, wanted: Care, note: Callable[[str], None]) -> None:
    """Let a job look after the person, and begin a trial call: what can't call should be known before it has to."""
    desk.check_in_after = wanted.check_in_after
    if wanted.note:
        note(f"note: {wanted.note}")
    if wanted.words:
        desk.caller = wiring.caller(wanted.words, wanted.limit)
        desk.caller.call(trial=True)


@dataclass(frozen=True, slots=True)
class Request:
    """What the command line asks for; without anything, what is set is shown."""

    set: str | None = None
    seconds: int | None = None
    clear: bool = False
    attempt: bool = False


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Do what the options ask for with the command for an alarm, and return the exit code."""
    asked = Request(options.set, options.seconds, options.clear, options.attempt)
    return alarm(data, asked, as_json=options.json, show=show)


def alarm(data: Path, asked: Request, *, as_json: bool, show: Callable[[str], None]) -> int:
    """Set, clear, try or show the command for an alarm, and return the exit code; DeviceError where a trial failed."""
    if asked.seconds is not None and not asked.set:
        raise DataError("--seconds goes with --set, which names the command")
    if asked.attempt:
        tried = attempt(data)
        show(json.dumps(tried) if as_json else "The trial call for help worked.")
        return 0
    kept = keep(data, asked.set, asked.seconds) if asked.set else None
    record = kept or (clear(data) if asked.clear else shown(data))
    show(json.dumps(record, ensure_ascii=False) if as_json else "\n".join(_lines(record)))
    return 0


def keep(data: Path, command: str, seconds: int | None) -> dict[str, Any]:
    """Keep the command of the owner, and return the settings as `shown`; DataError where it can't be one."""
    before = wiring.settings(data)
    limit = seconds if seconds is not None else before.alarm.seconds if before.alarm else LIMIT
    try:
        alarm = Alarm(command=command, seconds=limit)
    except ValueError as error:
        reasons = [fault["msg"].removeprefix("Value error, ") for fault in error.errors()]  # type: ignore[attr-defined]
        raise DataError(f"this can't be the command for an alarm: {'; '.join(reasons)}") from error
    return _kept(data, before.model_copy(update={"alarm": alarm}))


def clear(data: Path) -> dict[str, Any]:
    """Forget the command of the owner, and return the settings as `shown`."""
    return _kept(data, wiring.settings(data).model_copy(update={"alarm": None}))


def _kept(data: Path, settings: Settings) -> dict[str, Any]:
    return {**_record(settings), "kept": str(wiring.keep_settings(data, settings))}


def shown(data: Path) -> dict[str, Any]:
    """Return what is set, JSON-ready."""
    return _record(wiring.settings(data))


def _record(settings: Settings) -> dict[str, Any]:
    alarm = settings.alarm
    return {
        "command": alarm.command if alarm else None,
        "seconds": alarm.seconds if alarm else LIMIT,
        "check_in_minutes": settings.check_in_minutes,
    }


def _lines(record: dict[str, Any]) -> list[str]:
    """Return what is set, for the eye."""
    told = [f"command: {record['command']}", f"ended after: {record['seconds']} seconds"]
    return [
        *(told if record["command"] else [UNSET]),
        f"check-in after: {record['check_in_minutes']} minutes of silence under the car",
        *([f"kept in: {record['kept']}"] if "kept" in record else []),
    ]


def attempt(data: Path) -> dict[str, Any]:
    """Run the command once as a trial, and return what came of it; DeviceError where it failed."""
    alarm = wiring.settings(data).alarm
    if not alarm:
        raise DataError(UNSET)
    with closing(wiring.caller(words(alarm.command), alarm.seconds)) as caller:
        caller.call(trial=True)
        caller.wait()
        called = caller.outcome()
    if called is None or called.fault:
        raise DeviceError(f"the trial call failed: {called.fault if called else 'nothing came of it'}")
    return {"trial": called.trial, "fault": called.fault}
