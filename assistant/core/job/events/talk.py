"""Facts of the talk: what was asked, read back, denied, refused, not understood, or not to be listened to."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.core.data.base import QuantityText


@dataclass(frozen=True, slots=True)
class Asked:
    """The person asked something that changes nothing."""

    topic: str


@dataclass(frozen=True, slots=True)
class ClaimHeard:
    """Something consequential was said and read back; it counts once it is confirmed by name."""

    what: str
    """Name of the thing to confirm, as spoken."""
    value: QuantityText | None = None
    name: str = ""
    """Of a value of the vehicle: which one."""


@dataclass(frozen=True, slots=True)
class ClaimDropped:
    """What was read back was not confirmed."""

    what: str


@dataclass(frozen=True, slots=True)
class Refused:
    """Something was not allowed or cannot be right."""

    code: str
    say: str


@dataclass(frozen=True, slots=True)
class Denied:
    """The person said that something is not so, or is not to happen."""

    what: str
    """The name of the meaning that was denied, and its option; empty for what was asked."""
    heard: str


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Speech that could mean two things, or nothing clearly; it was asked again."""

    heard: str
    """What was written of it, word for word; empty unless the owner keeps that."""
    first: str
    """What it was most likely of all that is allowed; `second` is what it may have been as well."""
    second: str


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """Speech that was not meant for the assistant."""

    heard: str
    """What was written of it, word for word; empty unless the owner keeps that."""


@dataclass(frozen=True, slots=True)
class ListeningPaused:
    """The person told the assistant to hear nothing but the words that end it."""


@dataclass(frozen=True, slots=True)
class ListeningResumed:
    """The person told it to listen again."""


TalkEvent = (
    Asked | ClaimHeard | ClaimDropped | Refused | Denied | NotUnderstood | LeftAlone | ListeningPaused |
    ListeningResumed
)  # fmt: skip
