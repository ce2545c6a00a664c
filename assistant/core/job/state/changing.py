"""How a state is changed: a new one like it but for some fields, what was said noted or taken back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import datetime
from operator import attrgetter
from typing import Any

from assistant.core.job.state.state import Said, State

Change = Callable[[State, Any, datetime], State]
"""What a fact changes: the state before it, the fact, and when it was."""

_NAMES = tuple(one.name for one in fields(State) if one.init)
_all_of = attrgetter(*_NAMES)
_PUTS = tuple(getattr(State, name).__set__ for name in _NAMES)  # a slot is written past the class that is frozen

_GIVEN = frozenset({"procedure", "vehicle", "opened_at", "told", "readings", "choices"})
"""What a computed value may rest on."""


def but(state: State, **changes: Any) -> State:
    """Return a state like another one but for some fields: `dataclasses.replace` in a quarter of its time, which is
    most of what reading a job of thousands of facts takes."""
    new = object.__new__(State)
    for put, value in zip(_PUTS, _all_of(state), strict=True):
        put(new, value)
    for name, value in changes.items():
        object.__setattr__(new, name, value)
    object.__setattr__(new, "derived", {})
    object.__setattr__(new, "worked", {} if _GIVEN.intersection(changes) else state.worked)
    return new


def said(state: State, event: Any) -> State:
    """Return the state with something that the person may take back."""
    return but(state, said=(*state.said, Said(event, len(state.path))))


def unsaid(state: State, last: Callable[[Any], bool]) -> State:
    """Return the state without the newest of what was said that fits."""
    place = max((index for index, entry in enumerate(state.said) if last(entry.event)), default=None)
    return state if place is None else but(state, said=(*state.said[:place], *state.said[place + 1 :]))


def not_asked_again(state: State) -> State:
    """Return the state without a time after which it would be asked again."""
    return but(state, timers=tuple(timer for timer in state.timers if not timer.again))


def with_key(mapping: Mapping[Any, Any], key: Any, value: Any) -> dict[Any, Any]:
    """Return a mapping with one more key."""
    return {**mapping, key: value}


def without_keys(mapping: Mapping[Any, Any], unwanted: Callable[[Any], bool]) -> dict[Any, Any]:
    """Return a mapping without the keys that are unwanted."""
    return {key: value for key, value in mapping.items() if not unwanted(key)}
