"""Texts of procedures with their values put in, and values in words and figures, in the owner's units."""

from __future__ import annotations

import re

from assistant.core.compute.base.spoken import in_words
from assistant.core.data.base import names_in
from assistant.core.data.gate import Ask
from assistant.core.data.procedure import Unnoted
from assistant.core.job import known
from assistant.core.job.filling import Fill
from assistant.core.job.findings import VERDICT, verdict
from assistant.core.job.state import State
from assistant.core.quantities.owner_units import for_owner
from assistant.core.quantities.saying import say_amount, say_level, show_amount
from assistant.core.quantities.units import Level, Value


def say_value(value: Value) -> str:
    """Return a value in words."""
    return say_level(value) if isinstance(value, Level) else say_amount(value)


def show_value(value: Value) -> str:
    """Return a value in figures."""
    return value.said if isinstance(value, Level) else show_amount(value)


def say_answer(ask: Ask, value: Value) -> str:
    """Return the number that answered a challenge, as it is read back: "two stands"."""
    return ask.show.replace("{value}", say_value(value)) if ask.show else say_value(value)


def say_for_owner(state: State, value: Value) -> str:
    """Return a value in words, in the units that the owner asks for."""
    return say_value(value if isinstance(value, Level) else for_owner(value, state.vehicle.units))


def show_for_owner(state: State, value: Value) -> str:
    """Return a value in figures, in the units that the owner asks for."""
    return show_value(value if isinstance(value, Level) else for_owner(value, state.vehicle.units))


def spoken(state: State, text: str) -> str:
    """Return a text of the procedure with every name in braces said in words."""
    for name in names_in(text):
        text = text.replace("{" + name + "}", _word(state, name))
    return text


def lacking_notes(state: State, text: str) -> str:
    """Return what the vehicle's file does not say of what a text speaks of, and who does; empty where it says all."""
    names = [name for name in names_in(text) if known.is_note(state, name) and not _note(state, name)]
    lacks = [_unnoted(state, name).lacks for name in dict.fromkeys(names)]
    return f"Your file does not say {', or '.join(lacks)}. The service manual does." if lacks else ""


def _note(state: State, name: str) -> str:
    """Return a note of the vehicle; empty where its file has none, or an empty one."""
    note = state.vehicle.notes.get(name)
    return note.say.strip() if note else ""


def _unnoted(state: State, name: str) -> Unnoted:
    """Return how to do without a note; a job of an older version knows no better than its name."""
    words = re.sub(r"\W+", " ", name).strip()
    return state.procedure.notes.get(name) or Unnoted(say=f"the {words}", lacks=f"which {words} it takes")


def _word(state: State, name: str) -> str:
    if known.is_note(state, name):
        return _note(state, name) or _unnoted(state, name).say
    if name == VERDICT:
        return verdict(state)
    try:
        found = known.words_or_amount(state, name)
        return in_words(found) if isinstance(found, str) else say_for_owner(state, found)
    except known.Missing:
        wanted = state.procedure.values.get(name)
        return f"the {wanted.name}" if wanted else f"the {name.replace('-', ' ')}"


def fill_words(state: State, filled: Fill) -> str:
    """Return how much is in and how much to pour in or draw off next, the amount last."""
    fluid = filled.fluid
    amounts = (filled.total, filled.surplus, filled.lacking, filled.wanted)
    total, surplus, _, wanted = (say_for_owner(state, amount) for amount in amounts)
    if filled.surplus.magnitude:
        return f"That makes {total}. It is too much {fluid}. Do not start the engine. Draw off: {surplus}."
    if filled.enough and filled.total.magnitude <= 0:
        return f"No {fluid} is lacking."
    if filled.total.magnitude <= 0:
        return f"Pour in: {wanted}, not more."
    if filled.lacking.magnitude:
        return f"That makes {total}. It is too little {fluid}. Pour in: {wanted} more."
    return f"That makes {total}. It is enough for now."


def as_clause(name: str) -> str:
    """Return the name of a condition as a clause, which ends: "the parking brake is on."."""
    return f"{name[:1].lower()}{name[1:]}."
