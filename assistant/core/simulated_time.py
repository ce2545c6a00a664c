"""Lines such as `@ +10m`, which let simulated time pass. Only reads them; the clock is moved elsewhere."""

from __future__ import annotations

import re

from assistant.core.errors import DataError

_UNITS = {"s": 1, "m": 60, "h": 3600}


def seconds_of(line: str) -> float:
    """Return the simulated time of a line such as `@ +10m` [second]; DataError for another line."""
    match = re.fullmatch(r"@\s*\+\s*(\d+(?:\.\d+)?)\s*([smh])", line)
    if not match:
        raise DataError(f"{line!r} lets no time pass. Write for instance: @ +10m (s, m or h).")
    return float(match[1]) * _UNITS[match[2]]
