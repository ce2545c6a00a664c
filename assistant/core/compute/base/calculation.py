"""A computation as a person reaches it: what it takes, how it works it out, and what it rests on.

A function of this folder is called with amounts. A `Calculation` names it, names its inputs with their kinds and the
range in which each makes sense, and gives an example that works, so that text can be taken and help be printed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from assistant.core.compute.base.result import Answer
from assistant.core.quantities.units import Kind

Row = Mapping[str, str]
"""A line of a table, by the names of its columns; an empty cell is an empty text."""


class Form(StrEnum):
    """What an input is that is no amount."""

    TEXT = "text"
    DAY = "date"
    LEVEL = "dipstick reading"
    AMOUNT = "amount of any kind"


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that a computation takes."""

    name: str
    """In lower case with hyphens; the function's parameter has the same name with underscores."""
    takes: Kind | Form
    means: str
    """What it is and where to find it, for the eye: "length of the wrench, from hand to square drive"."""
    least: str = ""
    """Least that makes sense, with its unit; without one an amount is at least zero. Temperatures need both bounds."""
    most: str = ""
    """Most that makes sense, with its unit; every amount needs one, for nothing on a car is without end."""
    default: str | None = None
    """What holds where nothing is given, as a person would write it; None where it must be given, "" where it may be
    left out and the function then gets None."""
    options: tuple[str, ...] = ()
    """The texts that may be given; without them any text."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """One answer that can be had."""

    name: str
    subject: str
    """One of `SUBJECTS`."""
    title: str
    """What it answers, in a few words."""
    inputs: tuple[Input, ...]
    work: Callable[..., Answer]
    """The function: it takes every input by name, and every table that is named."""
    example: Mapping[str, str]
    formula: str
    """In signs, or in words where there is none."""
    source: str
    """Where the formula or the table was published, or `common practice, no source`."""
    valid: str
    """In which range it holds."""
    tables: tuple[str, ...] = ()
    """Names of the tables that it looks things up in; each is a file of `procedures/tables/`."""
    reads: bool = False
    """Whether the function reads amounts in a text itself: it is told the owner's units as `units`."""
    chooses: bool = False
    """Whether the person says in which unit the answer is given: it is not turned into the owner's."""


SUBJECTS: Mapping[str, str] = {
    "oil-level": "Oil level and fill",
    "oil-choice": "Oil choice",
    "torque": "Torque",
    "lifting": "Lifting",
    "fluids": "Other fluids",
    "tyres": "Tyres and wheels",
    "battery": "Battery, charging and current",
    "brakes": "Brakes",
    "next": "When next",
    "numbers": "Numbers and units",
}
