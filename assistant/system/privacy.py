"""Keeps what the program makes from the eyes of others who use the computer. What was there before stays as it was."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

OTHERS = 0o077
"""What is kept from the group and from everybody else: to read, to write, and to enter."""


@contextmanager
def for_the_owner_alone() -> Iterator[None]:
    """Let each file and folder that is made meanwhile, by this process or its children, be its owner's alone.

    One place for all of them: the journal and what SQLite lays beside it, reports, settings, models, speech. On Windows
    it changes nothing: there a user's folder is private by the rules that it inherits.
    """
    before = os.umask(OTHERS)
    try:
        yield
    finally:
        os.umask(before)
