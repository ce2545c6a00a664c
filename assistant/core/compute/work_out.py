"""All computations by name, and the one way to have one done. Pure: tables come in, no file is read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from assistant.core.compute import (
    battery,
    battery_tests,
    bolts,
    brake_fluid,
    brakes,
    conversion,
    coolant,
    crow_foot,
    dipstick_span,
    fill,
    leads,
    next_due,
    oil_choice,
    oil_level,
    oil_volume,
    raising,
    several,
    small_machines,
    threads,
    tightening,
    tyre_pressure,
    tyre_size,
    tyre_wear,
    usual_torques,
    viscosity,
    wrenches,
)
from assistant.core.compute.calculation import Calculation, Row
from assistant.core.compute.given import read_inputs
from assistant.core.compute.in_system import in_system
from assistant.core.compute.result import Answer
from assistant.core.errors import ReadingError

_MODULES = (
    battery, battery_tests, bolts, brake_fluid, brakes, conversion, coolant, crow_foot, dipstick_span, fill, leads,
    next_due, oil_choice, oil_level, oil_volume, raising, several, small_machines, threads, tightening, tyre_pressure,
    tyre_size, tyre_wear, usual_torques, viscosity, wrenches,
)  # fmt: skip

CALCULATIONS: Mapping[str, Calculation] = {each.name: each for module in _MODULES for each in module.CALCULATIONS}


def calculation(name: str) -> Calculation:
    """Return the computation of that name; ReadingError names the nearest."""
    if name not in CALCULATIONS:
        near = get_close_matches(name, CALCULATIONS, 1)
        raise ReadingError(
            f"there is no computation {name!r}{f'; did you mean {near[0]!r}?' if near else '.'} "
            "List them with: assistant work-out --list",
            say="I can't work that out. Ask for the list.",
        )
    return CALCULATIONS[name]


def work_out(
    name: str, given: Mapping[str, str], tables: Mapping[str, Sequence[Row]], system: str | None = None
) -> Answer:
    """Return the answer of a computation to what a person gave, as text by the names of its inputs.

    Parameters
    ----------
    tables : Mapping
        The rows of every table by its name.
    system : str | None
        Units of the person, `metric`, `imperial` or `us`: what a quart is, and in what the answer is given. Without
        them a quart is refused, and the answer is in the units of what was given.

    Raises
    ------
    ReadingError
        For a name that is not known, and for what can't be worked out from what was given.
    """
    chosen = calculation(name)
    looked_up = {table.replace("-", "_"): tables[table] for table in chosen.tables}
    units = {"units": system} if chosen.reads else {}
    answer = chosen.work(**read_inputs(chosen, given, system), **looked_up, **units)
    return in_system(answer, system) if system and not chosen.chooses else answer
