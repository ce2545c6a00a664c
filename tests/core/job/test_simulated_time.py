"""Lines that let time pass."""

from __future__ import annotations

import pytest

from assistant.core.errors import DataError
from assistant.core.job.simulated_time import seconds_of

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("line", "seconds"), [("@ +10m", 600), ("@+1.5h", 5400), ("@  + 20 s", 20), ("@ +0s", 0), ("@ +24h", 86400)]
)
def test_time_is_read(line: str, seconds: float) -> None:
    assert seconds_of(line) == seconds


@pytest.mark.parametrize("line", ["@ 10m", "@ +10", "@ +m", "@ +-1h", "+10m", "@ +10d", "@ +24.1h"])
def test_what_lets_no_time_pass_is_refused_with_its_place(line: str) -> None:
    with pytest.raises(DataError, match=r"^line 3: "):
        seconds_of(line, "line 3")
