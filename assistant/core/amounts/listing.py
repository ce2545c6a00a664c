"""A list of amounts in one text, parted at its commas; one between two figures is a decimal comma, if it can be."""

from __future__ import annotations

import re

_PARTS = re.compile(r"(?<![0-9]),|,(?![0-9])|,(?=[^,:]*:)|;")


def listed(text: str) -> list[str]:
    """Return the parts of a list, for instance of "near low: 3,5 L, 1/2: 3,9 L"; a semicolon parts them, too."""
    return [part.strip() for part in _PARTS.split(text) if part.strip()]
