"""A busy machine: processes that spin beside what is tried."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def beside(count: int) -> Iterator[None]:
    """So many processes spin meanwhile."""
    spinning = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(count)]
    try:
        yield
    finally:
        for one in spinning:
            one.kill()
            one.wait()
