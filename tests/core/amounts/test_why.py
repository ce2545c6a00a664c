"""Why a text is no amount."""

from __future__ import annotations

import pytest

from assistant.core.amounts.why import why_not

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("about 3 L", "only about"), ("~3 L", "only about"), ("3 L or so", "only about"), ("at least 3 L", "a bound"),
        ("< 3 L", "a bound"), ("3 to 4 L", "a range"), ("between 3 and 4 L", "a range"), ("3.5 L", ""), ("", ""),
    ],
)  # fmt: skip
def test_the_reason_is_told_and_what_to_do(text: str, why: str) -> None:
    seen, heard = why_not(text)
    assert (why in seen) if why else (seen == "")
    assert bool(seen) == bool(heard)
