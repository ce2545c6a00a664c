"""What the explorer tries in a state: everything that changes something, values at the edges of what is allowed and
beyond, denials of what was asked, and what is never to be believed. Only makes intents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from assistant.core.data.gate import Option
from assistant.core.data.procedure import Reading
from assistant.core.job import known as facts
from assistant.core.job.filling import fill_of
from assistant.core.job.question import DRAWN_OFF, Question, Waiting, question
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, Kind, Level, Value, amount
from assistant.core.types import Intent

NEVER = "never"
"""How the words of an intent begin that must not be taken."""

_LITTLE = Decimal("0.01")
"""By this share a value lies within its bound, or beyond it."""


def tried(state: State) -> Iterator[Intent]:
    """Yield all that a person could mean now, as far as it makes a difference."""
    asked = question(state)
    if asked.waiting is Waiting.FINISHED:
        return
    for name in ("next", "claim", "skip", "back", "undo"):
        yield Intent(name)
    yield from _confirmed(state, asked)
    yield from _denied(state, asked)
    for option in _options(state, asked):
        yield Intent("option", words=option.show, option=option.id)
    for label, value in _values(state, asked):
        yield Intent("value", words=label, value=value)
    yield from _conditions(state, asked)
    for name in state.told:
        yield Intent("wrong", option=name)


def _confirmed(state: State, asked: Question) -> Iterator[Intent]:
    if asked.waiting is Waiting.CONFIRM:
        yield Intent("confirm")
        other = next((part.name for part in state.procedure.parts if part.name != asked.about), "another")
        yield Intent("confirm", words=f"{NEVER}: another name", option=other)


def _denied(state: State, asked: Question) -> Iterator[Intent]:
    yield Intent("denied", words=f"{NEVER}: not so")
    for option in _options(state, asked)[:1]:
        yield Intent("denied", words=f"{NEVER}: not {option.show}", option=f"option:{option.id}")


def _conditions(state: State, asked: Question) -> Iterator[Intent]:
    if asked.unmet:
        yield Intent("condition", option=f"{asked.unmet.condition.id}:{'holds' if asked.unmet.wanted else 'over'}")
    for condition in state.procedure.conditions:
        if condition.hazard and condition.id in state.possible:
            yield Intent("condition", option=f"{condition.id}:over")


def _options(state: State, asked: Question) -> tuple[Option, ...]:
    if asked.ask:
        return asked.ask.options
    if asked.waiting is Waiting.CHOICE and state.here.choice:
        return state.here.choice.options
    return ()


def _values(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    """Yield values of the right kind: good ones, and such as must be refused."""
    if asked.waiting is Waiting.VALUE:
        wanted = state.procedure.values[asked.about]
        yield "least", wanted.least
        yield "most", wanted.most
        yield "between", _times(wanted.most, Decimal("0.5"))
        yield f"{NEVER}: below its least", _times(wanted.least, 1 - _LITTLE)
        yield f"{NEVER}: above its most", _times(wanted.most, 1 + _LITTLE)
    elif asked.ask and asked.ask.kind:
        yield from _numbers(state, asked)
    elif asked.waiting is Waiting.TIGHTEN:
        torque = facts.value(state, state.procedure.part(asked.about).torque or "")
        yield "right", torque
        yield f"{NEVER}: twice as much", _times(torque, Decimal(2))
    elif asked.waiting is Waiting.READING and state.here.reading:
        yield from _readings(state, asked, state.here.reading)


def _times(value: Amount, factor: Decimal) -> Amount:
    return replace(value, magnitude=value.magnitude * factor)


def _readings(state: State, asked: Question, reading: Reading) -> Iterator[tuple[str, Value]]:
    if reading.kind == "level":
        for said, low, high in (("low", "0", "0.25"), ("good", "0.625", "0.875"), ("over", "1.05", "1.5")):
            yield said, Level(Decimal(low), Decimal(high), said)
    elif reading.adds or reading.removes or asked.about == DRAWN_OFF:
        yield from _volumes(state, asked)
    else:
        yield "read off", Amount(Decimal(50_000), "kilometre", Kind.DISTANCE)


def _volumes(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    """Yield amounts at the edges: just too little, just enough, all that fits, just too much, and far beyond."""
    fluid = state.procedure.fluid
    whole = facts.value(state, fluid.capacity) if fluid else amount("1 L")
    filled = fill_of(state, state.here)
    if filled and asked.about == DRAWN_OFF:
        yield "all that is too much", filled.surplus
        yield "half of it", _times(filled.surplus, Decimal("0.5"))
    elif filled:
        yield "what is wanted", filled.wanted
        yield "a little more than that", _times(filled.wanted, 1 + _LITTLE)
        yield "a tenth", _times(filled.wanted, Decimal("0.1"))
        yield "the capacity", whole
        yield "more than the capacity", _times(whole, 1 + _LITTLE)
    else:
        yield "a tenth of the capacity", _times(whole, Decimal("0.1"))
    yield f"{NEVER}: nine times the capacity", _times(whole, Decimal(9))


def _numbers(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    """Yield the numbers that an ask takes at its edges, and those just beyond."""
    assert asked.ask and asked.ask.least is not None and asked.ask.most is not None
    least, most = (_bound(state, asked, bound) for bound in (asked.ask.least, asked.ask.most))
    yield "enough", least
    yield "the most", most
    one = Decimal(1) if least.kind is Kind.COUNT else least.magnitude * _LITTLE
    yield f"{NEVER}: too little", replace(least, magnitude=least.magnitude - one)
    yield f"{NEVER}: too much", replace(most, magnitude=most.magnitude * (1 + _LITTLE) + one)
    if least.kind is Kind.COUNT:
        yield f"{NEVER}: half a one", replace(least, magnitude=least.magnitude + Decimal("0.5"))


def _bound(state: State, asked: Question, bound: int | str) -> Amount:
    if isinstance(bound, int):
        return Amount(Decimal(bound), "one", Kind.COUNT)
    return facts.named_or_written(state, bound)
