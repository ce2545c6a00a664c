"""Lines such as `@ +10m`, which let simulated time pass. Only reads them; the clock is moved elsewhere."""

from __future__ import annotations

import re

from assistant.core.errors import DataError

_UNITS = {"s": 1, "m": 60, "h": 3600}


LONGEST = 24 * 3600
"""So much may pass at once [second]: each quarter of a minute of it is lived through."""


def seconds_of(line: str, place: str = "") -> float:
    """Return the simulated time of a line such as `@ +10m` [second]; DataError for another line, with its place."""
    where = f"{place}: " if place else ""
    match = re.fullmatch(r"@\s*\+\s*(\d+(?:\.\d+)?)\s*([smh])", line)
    if not match:
        raise DataError(f"{where}{line!r} lets no time pass. Write for instance: @ +10m (s, m or h)")
    seconds = float(match[1]) * _UNITS[match[2]]
    if seconds > LONGEST:
        raise DataError(f"{where}{line!r} is more than {LONGEST // 3600} hours: write several lines for more")
    return seconds
