"""Asks pip-audit for known vulnerabilities of what the project brings: `python -m tests.supply.audit PIP-AUDIT`.

pip-audit lives in an environment of its own, and gets just the names and versions that are installed here: neither
itself nor pip is among them. It ends well, too, where the advisory service knew none of them: here that is no audit.
Without one the end is no failure, for a machine may have no way there; `--required` makes it one.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.supply.installed import brought

NOT_DONE = "THE AUDIT WAS NOT DONE"
PATIENCE = 600.0
"""How long the audit of all may take [second]."""


def audit(program: str, pins: Sequence[str], required: bool) -> int:
    """Print what is known, and return 1 for a known vulnerability, or where there was no audit and one is required."""
    with tempfile.TemporaryDirectory() as folder:
        wanted = Path(folder) / "pins.txt"
        wanted.write_text("\n".join(pins) + "\n", encoding="utf-8")
        command = [program, "--requirement", str(wanted), "--no-deps", "--disable-pip", "--format", "json",
                   "--progress-spinner", "off", "--timeout", "10"]  # fmt: skip
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, check=False)
            found = json.loads(done.stdout)["dependencies"]
        except (OSError, subprocess.TimeoutExpired) as error:
            return _not_done(str(error), required)
        except (ValueError, KeyError):
            return _not_done((done.stderr.strip() or "it says nothing").splitlines()[-1], required)
    passed_over = [one["name"] for one in found if "skip_reason" in one]
    if len(passed_over) == len(found):
        return _not_done("the advisory service knows none of the distributions", required)
    print(f"audited: {len(found) - len(passed_over)} distributions; unknown there: {', '.join(passed_over) or 'none'}")
    faults = [f"{one['name']} {one['version']}: {fault['id']}, mended in {', '.join(fault['fix_versions']) or 'none'}"
              for one in found for fault in one.get("vulns", ())]  # fmt: skip
    print("\n".join(faults) or "no known vulnerabilities")
    return 1 if faults else 0


def _not_done(why: str, required: bool) -> int:
    print(f"{NOT_DONE}: {why}")
    return 1 if required else 0


def main() -> int:
    """Audit what is installed beside this interpreter."""
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("--required", action="store_true")
    options = parser.parse_args()
    pins = [f"{name}=={one.distribution.version}" for name, one in brought().items()]
    return audit(options.program, pins, options.required)


if __name__ == "__main__":
    sys.exit(main())
