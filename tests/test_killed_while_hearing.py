"""A job that is really killed while it hears recorded sound through its engines keeps every fact that it told."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from tests.benchmarks.journal_faults import killed_while_hearing


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed outright")
def test_a_job_killed_while_it_hears_keeps_what_it_told(tmp_path: Path) -> None:
    """More of it: `python -m tests.benchmarks.journal_faults --sound-kills 30`."""
    found = killed_while_hearing(tmp_path, 2)
    assert set(found) == {"whole"}, found
