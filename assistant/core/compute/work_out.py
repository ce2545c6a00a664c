"""All computations by name, and the one way to have one done. Pure: tables come in, no file is read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from difflib import get_close_matches

from assistant.core.compute import conversion, coolant, several, small_machines
from assistant.core.compute.base.calculation import Calculation, Row
from assistant.core.compute.base.given import check_inputs, read_inputs
from assistant.core.compute.base.in_system import in_system
from assistant.core.compute.base.result import Answer
from assistant.core.compute.bolts import crow_foot, threads, tightening, usual_torques, wrenches
from assistant.core.compute.bolts import stress as bolts
from assistant.core.compute.brakes import fluid as brake_fluid
from assistant.core.compute.brakes import wear as brakes
from assistant.core.compute.due import next_due
from assistant.core.compute.electrics import battery, battery_tests, leads
from assistant.core.compute.oil import choice as oil_choice
from assistant.core.compute.oil import dipstick_span, drain_pan, fill, viscosity
from assistant.core.compute.oil import level as oil_level
from assistant.core.compute.oil import volume as oil_volume
from assistant.core.compute.raising import checks as raising
from assistant.core.compute.wheels import tyre_pressure, tyre_size, tyre_wear
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Value

_MODULES = (
    battery, battery_tests, bolts, brake_fluid, brakes, conversion, coolant, crow_foot, dipstick_span, drain_pan, fill,
    leads,
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
    answer = _worked(chosen, read_inputs(chosen, given, system), tables, system)
    return in_system(answer, system) if system and not chosen.chooses else answer


def work_out_of(
    name: str, given: Mapping[str, Value | str | date], tables: Mapping[str, Sequence[Row]], system: str | None = None
) -> Answer:
    """Return the answer of a computation to amounts, levels and days, in the units of what was given.

    Parameters and errors are those of `work_out`; only what is a text is read as a person writes it.
    """
    chosen = calculation(name)
    return _worked(chosen, check_inputs(chosen, given, system), tables, system)


def _worked(
    chosen: Calculation,
    inputs: Mapping[str, Value | str | date | None],
    tables: Mapping[str, Sequence[Row]],
    system: str | None,
) -> Answer:
    looked_up = {table.replace("-", "_"): tables[table] for table in chosen.tables}
    units = {"units": system} if chosen.reads else {}
    return chosen.work(**inputs, **looked_up, **units)
