"""What a typed line means that is no phrase: a name, an amount in figures, a source, the thread of a bolt."""

from __future__ import annotations

import re
from contextlib import suppress

from assistant.core.amounts.reader import read_amount
from assistant.core.amounts.typed import doubt_in
from assistant.core.car_talk.given import Talk, Topic, asked
from assistant.core.car_talk.taking import SAME
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Kind
from assistant.core.types import Intent

_THREAD = re.compile(r"[mM] ?(\d{1,2}) ?(?:[x×*] ?(\d(?:[.,]\d+)?))?|[\d/#.-]+ ?-? ?\d* ?UN[CF]")


_NO_TEXT = re.compile(
    r"(no|not|nope|yes|ok|okay|wrong|what|why|how|who|which|i|it|stop|quit|exit|help|hm+|err*)\b.*|.*\?"
)
"""Lines that are hardly a name or a source, but an answer to something else."""


def typed_intent(talk: Talk, line: str) -> Intent | None:
    """Return what a typed line means that is no phrase: a name, an amount in figures, a source; None for others.

    ReadingError for a line with figures that is no exact amount of what is asked for.
    """
    now = asked(talk)
    if now.topic is Topic.NAME and not _NO_TEXT.fullmatch(line.lower()):
        return Intent("name", line)
    if now.topic is Topic.JOBS and line.strip() in {job.id for job in talk.ground.jobs}:
        return Intent("option", line, option=line.strip())
    if now.topic in (Topic.VALUE, Topic.SOURCE) and now.about in talk.wanted:
        kind = talk.wanted[now.about][0].kind
        if now.topic is Topic.SOURCE:
            return _typed_source(talk, line, kind)
        with suppress(ReadingError):  # what is refused is refused as a whole
            if value := _value_with_source(talk, line, kind):
                return value
        return _typed_value(talk, line, kind)
    return None


_WITH_SOURCE = re.compile(r"(?P<value>.*?[A-Za-z°%].*?)(?:[,;] +| +from +)(?P<source>[A-Za-z].*)")
"""An amount with its source behind it: "30 Nm, service manual page 12"."""


def _value_with_source(talk: Talk, line: str, kind: Kind) -> Intent | None:
    parted = _WITH_SOURCE.fullmatch(line)
    if not parted or not (value := _typed_value(talk, parted["value"], kind)):
        return None
    source = parted["source"]
    return Intent("value", line, value.value, SAME if source.lower() in _SAME else source)


_SAME = ("same source", "the same source", "same", "the same")


def _typed_value(talk: Talk, line: str, kind: Kind) -> Intent | None:
    if not re.search(r"[0-9]", line):
        return None
    if doubt := doubt_in(line):
        raise ReadingError(f"{line!r}: {doubt}", say=doubt)
    return Intent("value", line, read_amount(line, kind, talk.what(Topic.UNITS)))


def _typed_source(talk: Talk, line: str, kind: Kind) -> Intent | None:
    thread = _THREAD.fullmatch(line.removeprefix("on ").strip())
    if thread and kind is Kind.TORQUE:
        return Intent("thread", line, option=_written(thread, line))
    with suppress(ReadingError):  # figures may be those of a page
        if value := _typed_value(talk, line, kind):
            return value
    with suppress(ReadingError):
        if value := _value_with_source(talk, line, kind):
            return value
    _refuse_an_amount(talk, line, kind)
    return None if _NO_TEXT.fullmatch(line.lower()) else Intent("source", line)


def _refuse_an_amount(talk: Talk, line: str, kind: Kind) -> None:
    """Refuse an amount of another kind, alone or before a comma: it answers another question, and is no source."""
    parted = _WITH_SOURCE.fullmatch(line)
    written = parted["value"] if parted else line
    if any(_is_amount(talk, written, other) for other in Kind):
        _typed_value(talk, written, kind)


def _is_amount(talk: Talk, text: str, kind: Kind) -> bool:
    try:
        return _typed_value(talk, text, kind) is not None
    except ReadingError:
        return False


def _written(thread: re.Match[str], line: str) -> str:
    if not thread[1]:
        return line.removeprefix("on ").strip()
    pitch = (thread[2] or "").replace(",", ".")
    return f"M{thread[1]}" + (f"x{pitch}" if pitch else "")
