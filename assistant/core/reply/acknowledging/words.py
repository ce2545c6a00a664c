"""What the words of every fact are made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from assistant.core.job.state import State

Words = Callable[[State, Any, State], str]
"""What is said of a fact, from the state before it, the fact, and the state after it; empty where nothing is."""
