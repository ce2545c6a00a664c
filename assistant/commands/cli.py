"""The command line: reads its words, runs one command, and makes a line and an exit code of what ends it.

The only file that prints. Plain lines, one after the other; no colour, no moving cursor.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import TypeAlias

from assistant.commands.arguments import parser
from assistant.core.errors import AssistantError, DataError
from assistant.system.ending import FAILED, KEPT, KEPT_CAR, STOPPED, USAGE, OutputLost, Stopped, keep_trace, put
from assistant.system.privacy import for_the_owner_alone

Command: TypeAlias = Callable[[argparse.Namespace, Path, Callable[[str], None], Callable[[str], None]], int]
"""Runs a command: its options, the data folder, what shows its output and what notes the rest; its exit code."""

_MODULES = {
    "demo": "demo", "run": "run", "jobs": "job_list", "alarm": "alarm", "told": "told", "vehicle": "vehicle",
    "hear": "hear", "tune": "tune", "work-out": "work_out", "list": "listing", "journal": "journal", "models": "models",
    "check": "check",
}  # fmt: skip
"""In which file of this folder each command is."""


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    options = parser().parse_args(arguments)
    command = _loaded(options.command)
    with for_the_owner_alone():
        return _run(command, options)


def _loaded(name: str) -> Command:
    """Return what runs a command. Only now is it imported: units, data and engines take most of a second."""
    command: Command = import_module(f"assistant.commands.{_MODULES[name]}").command
    return command


def _run(command: Command, options: argparse.Namespace) -> int:
    try:
        return command(options, _data(options), _show, _note)
    except (KeyboardInterrupt, Stopped) as stopped:
        _note(f"Stopped. {_kept(options)}".strip())
        return stopped.code if isinstance(stopped, Stopped) else STOPPED
    except Exception as error:
        return _failed(error, options)


def _failed(error: Exception, options: argparse.Namespace) -> int:
    """Say in one line what ended the command, and return the exit code."""
    if isinstance(error, AssistantError):
        _note(f"error: {error}")
        return USAGE if isinstance(error, DataError) else FAILED
    if isinstance(error, OutputLost):
        _note(f"Stopped: the output can't be written ({error}). {_kept(options)}".strip())
    elif isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        _note(f"error: {where}{error.strerror or error}. {_kept(options) or 'Name another place'}")
    else:
        from assistant.adapters.clock import SystemClock

        kept = keep_trace(_data(options), SystemClock().now())
        where = f" Where it failed stands in {kept}." if kept else ""
        _note(f"error: a fault of this program ({type(error).__name__}: {error}).{where} {_kept(options)}".strip())
    return FAILED


def _kept(options: argparse.Namespace) -> str:
    if options.command == "vehicle" and options.action == "new":
        return KEPT_CAR
    return KEPT if options.command == "run" else ""


def _data(options: argparse.Namespace) -> Path:
    from assistant.wiring import default_data

    data = getattr(options, "data", None) or getattr(options, "out", None)
    return Path(data) if data else default_data()


def _note(text: str) -> None:
    with suppress(OutputLost):  # nobody is left to be told
        put(text, sys.stderr)


def _show(text: str) -> None:
    put(text, sys.stdout)
