"""The tree of errors, by whose fault; each says in at most fifteen words what happened and what to do.

    AssistantError ─┬─ DataError     a file is wrong: where, why, how to mend
                    ├─ ReadingError  a value cannot be right: what was given, what is allowed
                    ├─ DeviceError   microphone, loudspeaker, model or disk; the job is kept
                    │  └─ Busy       another run of the program has it open
                    └─ Bug           ours

What was not understood, or is not allowed here, is no error: it is an event with a reply.
"""

from __future__ import annotations


class AssistantError(Exception):
    """Any failure that the program expects. `say` is for the ear, `str(error)` for the eye."""

    code = "assistant"

    def __init__(self, message: str, *, say: str | None = None) -> None:
        super().__init__(message)
        self.say = say or message


class DataError(AssistantError):
    """A file is wrong. The message names the file, the line, the field, and the way out."""

    code = "data"


class ReadingError(AssistantError):
    """A value cannot be right. The message names what was given, what is allowed, and what to do."""

    code = "reading"


class TooLittle(ReadingError):  # noqa: N818 — the shortest true name
    """Evidence shows the opposite of what is wanted: too few stands, too weak, no brake."""

    code = "evidence"


class DeviceError(AssistantError):
    """A device, a model, or the disk failed. The job is kept; the message says how to go on."""

    code = "device"


class Busy(DeviceError):  # noqa: N818 — the shortest true name
    """Another run of the program has it open."""

    code = "busy"


class Bug(AssistantError):  # noqa: N818 — the shortest true name
    """The program contradicts itself."""

    code = "bug"
