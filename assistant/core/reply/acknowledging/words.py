"""What the words of every fact are made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from assistant.core.job.state import State

Words = Callable[[State, Any, State], str]
"""What is said of a fact, from the state before it, the fact, and the state after it; empty where nothing is."""


def capital(text: str) -> str:
    """Return a text that begins with a capital letter."""
    return f"{text[:1].upper()}{text[1:]}"
