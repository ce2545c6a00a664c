"""A vehicle: what it is, its values with their sources, and what is known of it in words."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name, QuantityText
from assistant.core.data.car import CALLED


class System(StrEnum):
    """The units that the owner asks for."""

    METRIC = "metric"
    IMPERIAL = "imperial"
    US = "us"


class Spec(Data):
    """A value of a vehicle and where it comes from."""

    value: QuantityText
    source: str = Field(min_length=3)
    thread: str = ""
    """Of a torque: the thread it is for, for instance M14x1.5; then it is checked against what such a bolt bears."""
    strength: str = "8.8"
    """Of a torque: the property class of the bolt (ISO 898-1)."""

    @model_validator(mode="before")
    @classmethod
    def _not_cut_at_a_comma(cls, content: Any) -> Any:
        """Refuse `{value: 3,5 L}` in words: between braces YAML reads it as 3, and as a field `5 L` without a value."""
        cut = [name for name, value in content.items() if value is None] if isinstance(content, dict) else []
        if cut and isinstance(content.get("value"), int) and str(cut[0])[:1].isdigit():
            whole, rest = content["value"], cut[0]
            raise ValueError(
                f"value {whole},{rest}: a comma ends it between braces: write {whole}.{rest}, with a point"
            )
        return content


class Note(Data):
    """What is known of a vehicle in words, and where it comes from."""

    say: str
    source: str = Field(min_length=3)


class Vehicle(Data):
    """One vehicle: what it is, and its values. A value that is missing is asked for, never guessed; a note that is
    missing is done without, in words."""

    id: Name
    title: str
    about: str
    called: str = CALLED
    """How it is spoken of: "the van", "the mower"."""
    units: System
    tags: tuple[Name, ...] = ()
    values: dict[Name, Spec] = Field(default_factory=dict)
    notes: dict[Name, Note] = Field(default_factory=dict)
