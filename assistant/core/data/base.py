"""The ground of all that is read from files: frozen data, names, amounts with their unit, circumstances."""

from __future__ import annotations

import re
from functools import cache
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer

from assistant.core.amounts.reader import read_amount
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, amount, write_amount


def _read_amount(value: Any) -> Any:
    if isinstance(value, Amount):
        return value
    if not isinstance(value, str):
        what = "a bare number" if isinstance(value, int | float) and not isinstance(value, bool) else "no amount"
        shown = "nothing" if value is None else value
        raise ValueError(f"{shown} is {what}: write it with its unit, for instance 30 N·m, 4.3 L or 1340 kg")
    try:
        return amount(value)  # as the program writes them itself
    except ReadingError:
        return _as_people_write(value)


def _as_people_write(text: str) -> Amount:
    """Return an amount as a person may write it; ValueError for what is not one exact amount."""
    try:
        return read_amount(text)
    except ReadingError as error:
        raise ValueError(str(error)) from error


QuantityText = Annotated[Amount, BeforeValidator(_read_amount), PlainSerializer(write_amount, return_type=str)]
"""An amount that a file writes as text with its unit, for instance `25 N·m`."""

Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*([-_:][a-z0-9]+)*$")]
Says = Annotated[tuple[str, ...], Field(min_length=1)]
"""Phrasings of one meaning, each a JSGF expansion."""
RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
)
"""Names that no file may have on Windows."""


class Data(BaseModel):
    """Base of all that is read from files: unknown fields are refused, nothing changes afterwards."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Tagged(Data):
    """Something that holds only in some circumstances: all of `when`, none of `unless`."""

    when: tuple[Name, ...] = ()
    unless: tuple[Name, ...] = ()

    def applies(self, tags: frozenset[str]) -> bool:
        """Return whether the circumstances fit."""
        return tags.issuperset(self.when) and tags.isdisjoint(self.unless)


@cache
def names_in(text: str) -> tuple[str, ...]:
    """Return the names in braces of a text, in order: the values that it speaks of. Other braces name nothing."""
    return tuple(re.findall(r"\{([^{}]+)\}", text))
