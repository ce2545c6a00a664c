"""The answers of a talk as rows of text, and back: what does not fit any more is left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.core.car_talk.given import Asked, Given, Ground, Talk, Topic
from assistant.core.car_talk.taking import at
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import amount
from assistant.core.types import Intent


def rows_of(given: Sequence[Given]) -> list[list[str]]:
    """Return answers as rows of text."""
    return [[str(one.topic), one.about, one.what] for one in given]


def restored(ground: Ground, rows: object) -> tuple[Given, ...]:
    """Return the answers of a talk that was broken off, as far as they fit the jobs that are there now."""
    talk = Talk(ground)
    for row in rows if isinstance(rows, list) else ():
        if isinstance(row, list) and len(row) == 3 and all(isinstance(one, str) for one in row):
            talk = _with(talk, *row)
    return talk.given


def _with(talk: Talk, topic: str, about: str, what: str) -> Talk:
    """Return a talk with one answer more, if it can be given in it: it is held against all that it was before."""
    try:
        intent = _intent(talk, topic, about, what)
    except (ReadingError, ValueError):
        return talk
    return at(talk, Asked(Topic(topic), about), intent)[0] if intent else talk


def _intent(talk: Talk, topic: str, about: str, what: str) -> Intent | None:
    """Return what was said by which an answer came to be; None for what is none."""
    of_value = Topic(topic) in (Topic.VALUE, Topic.SOURCE, Topic.THREAD)
    if (of_value and about not in talk.wanted) or (topic == Topic.BUILT and about not in talk.groups):
        return None
    said: dict[str, Callable[[], Intent]] = {
        Topic.JOBS: lambda: Intent("option", option=what),
        Topic.NAME: lambda: Intent("name", what),
        Topic.TAKEN: lambda: Intent("option", option=what),
        Topic.UNITS: lambda: Intent("option", option=what),
        Topic.BUILT: lambda: Intent("option", option=what or "none"),
        Topic.VALUE: lambda: Intent("value", value=amount(what)) if what else Intent("unknown"),
        Topic.SOURCE: lambda: Intent("source", what),
        Topic.THREAD: lambda: Intent("thread", option=what),
        Topic.ENOUGH: lambda: Intent("enough"),
    }
    return said[topic]() if topic in said else None
