"""What the explorer tries in a state: everything that changes something, values at the edges of what is allowed and
beyond, denials of what was asked, and what is never to be believed. Only makes intents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from assistant.core.data.gate import Option
from assistant.core.data.step import Reading
from assistant.core.job import known
from assistant.core.job.bands import limit_of
from assistant.core.job.filling import fill_of
from assistant.core.job.question import DRAWN_OFF, Question, Waiting, question
from assistant.core.job.readings import bounds_of
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, Kind, Level, Value, amount, example_of
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
    yield from _of_control(state, asked)
    yield from _confirmed(state, asked)
    yield from _denied(state, asked)
    for option in _options(state, asked):
        yield Intent("option", words=option.show, option=option.id)
    for label, value in _values(state, asked):
        yield Intent("value", words=label, value=value)
    if asked.waiting is Waiting.VALUE and state.procedure.values[asked.about].unknown:
        yield Intent("unknown")
    yield from _conditions(state, asked)
    for name in state.told:
        yield Intent("wrong", option=name)


def _of_control(state: State, asked: Question) -> Iterator[Intent]:
    """Yield what is said where a job is to be stopped, and of what has to be new."""
    if state.stopping:
        yield Intent("out")
        yield Intent("danger")
    if asked.waiting is Waiting.NEW:
        yield Intent("new", option=asked.about)
        yield Intent("new", words=f"{NEVER}: something else is new", option="something-else")


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
        name = state.procedure.part(asked.about).torque or ""
        if name in state.unknown:
            yield "whatever it got", state.procedure.values[name].most
            return
        torque = known.value(state, name)
        yield "right", torque
        yield f"{NEVER}: twice as much", _times(torque, Decimal(2))
    elif asked.waiting is Waiting.TURN:
        angle = known.value(state, state.procedure.part(asked.about).angle or "")
        yield "right", angle
        yield f"{NEVER}: twice as far", _times(angle, Decimal(2))
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
        yield from edges_of(state, reading)


_DRIVEN = Amount(Decimal(50_000), "kilometre", Kind.DISTANCE)


def edges_of(state: State, reading: Reading) -> Iterator[tuple[str, Value]]:
    """Yield what may be read off: at both edges of each band and at each limit, just within, and beyond the limits."""
    kind = Kind(reading.kind)
    usual = _DRIVEN if kind is Kind.DISTANCE else amount(example_of(kind), kind)
    edges = (each for band in reading.bands for each in (band.below, band.above))
    values = [found for edge in edges if (found := limit_of(state, edge, usual.unit, usual.kind))]
    least, most = (limit_of(state, bound, usual.unit, usual.kind) for bound in (reading.least, reading.most))
    if not (values or least or most):
        yield "read off", usual
        return
    for number, value in enumerate(values):
        for what, moved in (("below", -_step(value)), ("at", Decimal(0)), ("above", _step(value))):
            tried = replace(value, magnitude=value.magnitude + moved)
            if _within(tried, least, most):
                yield f"{what} edge {number + 1}", tried
    for what, bound, sign in (("least", least, -1), ("most", most, 1)):
        if bound:
            yield f"the {what}", bound
            yield f"{NEVER}: beyond its {what}", replace(bound, magnitude=bound.magnitude + sign * _step(bound))


def _step(value: Amount) -> Decimal:
    """Return how far beside an edge is tried."""
    return Decimal(1) if value.kind is Kind.COUNT else max(abs(value.magnitude) * _LITTLE, Decimal("0.01"))


def _within(value: Amount, least: Amount | None, most: Amount | None) -> bool:
    low = least is None or value.magnitude >= least.magnitude
    return low and (most is None or value.magnitude <= most.magnitude)


def _volumes(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    """Yield amounts at the edges: just too little, just enough, all that fits, just too much, and far beyond."""
    reading = state.here.reading
    fluid = state.procedure.fluids.get(reading.of or "") if reading else None
    whole = known.value(state, fluid.capacity) if fluid else amount("1 L")
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
    assert asked.ask
    least, most = (_bound(state, asked, bound) for bound in bounds_of(asked.ask))
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
    return known.named_or_written(state, bound)
