"""A command of the owner's as the words of which it consists. Beside the settings, as their data model loads slowly."""

from __future__ import annotations

import shlex

from assistant.core.errors import DataError


def words(command: str) -> tuple[str, ...]:
    """Return a command as the words of which it consists; DataError where it has none, or a quote is left open."""
    try:
        found = tuple(shlex.split(command))
    except ValueError as error:
        raise DataError(f"{command!r} is no command: a quote in it is not closed") from error
    if not found:
        raise DataError("a command is empty: name a program, and after it what it takes")
    return found
