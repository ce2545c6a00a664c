"""What the owner has set for every job, as frozen data. Where it is kept, and what becomes of it, is told elsewhere."""

from __future__ import annotations

from typing import Any

from pydantic import Field, field_validator, model_validator

from assistant.core.data.base import Data
from assistant.core.data.program_words import words
from assistant.core.errors import DataError

LIMIT = 30
"""After how long a call for help is ended where nothing else is set [second]. Common practice, no source."""


class Alarm(Data):
    """The owner's own command for an alarm: what telephones, or sends a message."""

    command: str
    seconds: int = Field(default=LIMIT, ge=1, le=300)
    """How long it may take [second]."""

    @field_validator("command")
    @classmethod
    def _is_found_from_everywhere(cls, command: str) -> str:
        try:
            program = words(command)[0]
        except DataError as error:
            raise ValueError(str(error)) from error
        if "/" in program and not program.startswith(("/", "~")):
            raise ValueError(f"{program!r} is another file in every folder: write its whole path")
        return command


class Settings(Data):
    """All settings; without a file they are these."""

    alarm: Alarm | None = None
    check_in_minutes: int = Field(default=10, ge=5, le=30, alias="check-in-minutes")
    """Silence from under the car after which the person is asked [minute]: agreed beforehand, as HSE INDG73 wants it,
    which names no minutes. Its bounds are common practice, no source."""

    models_from: str = Field(default="", alias="models-from")
    """Where models are fetched from: a web address or a folder with archives; empty for where their makers publish."""

    @model_validator(mode="before")
    @classmethod
    def _nothing_sets_nothing(cls, content: Any) -> Any:
        return {} if content is None else content
