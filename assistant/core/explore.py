"""Walks every reachable state of a procedure and proves its promises, with bookkeeping of its own from the facts alone.

Abstracted are: time (a timer either runs or is over), amounts (below the safe minimum, up to the capacity, above),
dipstick readings (one of each class), and of the way back the last steps only.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import reduce

from assistant.core import events as e
from assistant.core import facts
from assistant.core.answers import answer
from assistant.core.engine import INTENTS, WHILE_PAUSED, decide, moment, open_job
from assistant.core.procedure import Effect, Option, Procedure, Reading, Vehicle
from assistant.core.question import Question, Waiting, question
from assistant.core.state import State, evolve, opening
from assistant.core.types import Intent
from assistant.core.units import Amount, Kind, Level, Value, convert

SUPPORT = frozenset({"level-ground", "brake", "chocks", "support", "push-test"})
"""What must be shown by evidence before anyone goes under the car."""

AT = datetime(2026, 1, 1, tzinfo=UTC)
LATER = AT + timedelta(days=1)
_WAY_BACK = 2
_HELD_BACK = (Waiting.EVIDENCE, Waiting.VALUE, Waiting.SEALED, Waiting.PARKED, Waiting.FINISHED)


@dataclass(frozen=True, slots=True)
class Book:
    """What the explorer itself notes from the facts."""

    proofs: frozenset[str] = frozenset()
    open: frozenset[str] = frozenset()
    tightened: frozenset[str] = frozenset()
    touched: frozenset[str] = frozenset()


@dataclass(slots=True)
class Report:
    """What was found: how much was walked, and every broken promise with a shortest way to it."""

    states: int = 0
    moves: int = 0
    broken: list[str] = field(default_factory=list)
    finished: int = 0


@dataclass(slots=True)
class _Node:
    state: State
    book: Book
    way: tuple[str, ...]


def explore(procedure: Procedure, vehicle: Vehicle, *, most: int = 60_000) -> Report:
    """Return what a walk through all states finds; at most so many states are visited."""
    report = Report()
    nodes: dict[Hashable, _Node] = {}
    before: dict[Hashable, set[Hashable]] = {}
    first = _first(procedure, vehicle)
    nodes[_key(first)] = first
    waiting: deque[Hashable] = deque(nodes)
    while waiting:
        key = waiting.popleft()
        _check_pause(nodes[key], report)
        for follower in _followers(nodes[key], report):
            report.moves += 1
            other = _key(follower)
            before.setdefault(other, set()).add(key)
            if other not in nodes:
                nodes[other] = follower
                waiting.append(other)
        if len(nodes) > most:
            report.broken.append(f"more than {most} states: the walk was given up")
            break
    report.states = len(nodes)
    _no_dead_ends(nodes, before, report)
    return report


def _first(procedure: Procedure, vehicle: Vehicle) -> _Node:
    started, *rest = open_job(procedure, vehicle, AT)
    assert isinstance(started, e.JobOpened)
    return _Node(_after(opening(started, AT), tuple(rest)), Book(), ())


def _key(node: _Node) -> Hashable:
    state = node.state
    return (
        state.step, state.path[-_WAY_BACK:], state.pending, state.gates, frozenset(state.evidence),
        frozenset(state.told), facts.tags(state), _bucket(state), bool(state.timers), state.raised,
        state.drained, state.running, state.parked, bool(state.finished_at), node.book.proofs, node.book.open,
    )  # fmt: skip


def _bucket(state: State) -> int:
    fluid = state.procedure.fluid
    if not fluid or facts.missing_of(state, "safe-minimum"):
        return 0
    poured = facts.poured(state)
    least = convert(facts.value(state, "safe-minimum"), poured.unit).magnitude
    most = convert(facts.value(state, fluid.capacity), poured.unit).magnitude
    return (poured.magnitude > 0) + (poured.magnitude >= least) + (poured.magnitude > most)


def _followers(node: _Node, report: Report) -> Iterator[_Node]:
    for name, events in _moves(node.state):
        state, book, way = node.state, node.book, (*node.way, name)
        for event in events:
            _check_event(state, book, event, way, report)
            book = _noted(state, book, event)
            state = evolve(state, event, AT)
        if events and not answer(node.state, events, state).say:
            report.broken.append(f"no reply to {name!r} after {' / '.join(node.way)}")
        _check_state(state, book, way, report)
        yield _Node(state, book, way)


def _moves(state: State) -> Iterator[tuple[str, tuple[e.Event, ...]]]:
    for intent in _intents(state):
        label = f"{intent.name} {intent.option or intent.words}".strip()
        yield label, decide(state, intent, AT)
    if state.timers:
        yield "the time passes", moment(state, LATER, None)


def _intents(state: State) -> Iterator[Intent]:
    asked = question(state)
    if asked.waiting is Waiting.PARKED:
        yield from (Intent("go-on"), Intent("next"), Intent("where"))
        return
    for name in ("next", "back", "undo", "skip", "repeat", "where", "park"):
        yield Intent(name)
    if asked.waiting in (Waiting.CLAIM, Waiting.CONFIRM):
        yield Intent(str(asked.waiting))
    for option in _options(state, asked):
        yield Intent("option", option=option.id)
    for words, value in _values(state, asked):
        yield Intent("value", words, value)


def _options(state: State, asked: Question) -> tuple[Option, ...]:
    if asked.ask:
        return asked.ask.options
    return state.here.choice.options if state.here.choice else ()


def _values(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    """Yield for an open question a value that is right, and some that are not."""
    yield "of the wrong kind", Amount(Decimal(3), "minute", Kind.DURATION)
    step = state.here
    if asked.waiting is Waiting.VALUE:
        yield "told", state.procedure.values[asked.about].least
    elif asked.ask and asked.ask.kind:
        yield from _numbers(state, asked)
    elif step.tighten and (torque := state.procedure.part(step.tighten.part).torque):
        wanted = facts.value(state, torque)
        yield "right", wanted
        yield "too much", replace(wanted, magnitude=wanted.magnitude * 2)
    elif step.reading:
        yield from _readings(state, step.reading)


def _readings(state: State, reading: Reading) -> Iterator[tuple[str, Value]]:
    if reading.kind == "level":
        for said, low, high in (("low", "0", "0.25"), ("good", "0.625", "0.875"), ("over", "1.05", "1.5")):
            yield said, Level(Decimal(low), Decimal(high), said)
    elif reading.adds and state.procedure.fluid:
        whole = facts.value(state, state.procedure.fluid.capacity)
        for share in ("0.05", "0.85", "1.2", "9"):
            yield f"{share} of the capacity", replace(whole, magnitude=whole.magnitude * Decimal(share))
    else:
        yield "read off", Amount(Decimal(50_000), "kilometre", Kind.DISTANCE)


def _numbers(state: State, asked: Question) -> Iterator[tuple[str, Value]]:
    assert asked.ask
    least = asked.ask.least
    enough = facts.value(state, least) if isinstance(least, str) else Amount(Decimal(least or 0), "one", Kind.COUNT)
    yield "enough", enough
    yield "too little", replace(enough, magnitude=enough.magnitude / 4)


def _noted(state: State, book: Book, event: e.Event) -> Book:
    match event:
        case e.EvidenceGiven(gate, ask):
            proves = next(item.proves for item in state.procedure.gate(gate).asks if item.id == ask)
            return replace(book, proofs=book.proofs.union(proves))
        case e.GateFell(gate):
            fallen = {proof for item in state.procedure.gate(gate).asks for proof in item.proves}
            return replace(book, proofs=book.proofs - fallen)
        case e.EvidenceWithdrawn(gate, ask):
            taken = next(item.proves for item in state.procedure.gate(gate).asks if item.id == ask)
            return replace(book, proofs=book.proofs.difference(taken))
        case e.CarChanged(what) if what in (Effect.RAISED, Effect.LOWERED):
            return replace(book, proofs=frozenset())
        case e.PartOpened(part):
            return replace(
                book, open=book.open | {part}, tightened=book.tightened - {part}, touched=book.touched | {part}
            )
        case e.PartClosed(part):
            return replace(book, open=book.open - {part})
        case e.TorqueGiven(part):
            return replace(book, tightened=book.tightened | {part})
        case _:
            return book


def _check_event(state: State, book: Book, event: e.Event, way: tuple[str, ...], report: Report) -> None:
    if isinstance(event, e.CarChanged) and event.what == Effect.ENGINE_STARTED and _unsafe_to_run(state, book):
        report.broken.append(f"the engine is started {_unsafe_to_run(state, book)}: {' / '.join(way)}")
    if isinstance(event, e.JobFinished):
        report.finished += 1
        wanted = {part.id for part in state.procedure.parts if part.torque and part.id in book.touched}
        if book.open or wanted - book.tightened:
            report.broken.append(f"finished with {sorted(book.open | wanted - book.tightened)}: {' / '.join(way)}")


def _check_state(state: State, book: Book, way: tuple[str, ...], report: Report) -> None:
    presented = question(state).waiting not in _HELD_BACK
    if presented and state.here.where == "under" and not book.proofs >= SUPPORT:
        report.broken.append(f"under the car without {sorted(SUPPORT - book.proofs)}: {' / '.join(way)}")
    if presented and Effect.ENGINE_STARTED in state.here.does and _unsafe_to_run(state, book):
        report.broken.append(f"told to start the engine {_unsafe_to_run(state, book)}: {' / '.join(way)}")


def _check_pause(node: _Node, report: Report) -> None:
    """Note where a pause of the listening lets anything pass, holds the time up, or is not over when it ends."""
    state = node.state
    if state.parked or state.finished_at:
        return
    paused = _after(state, decide(state, Intent("pause"), AT))
    said = {name: decide(paused, Intent(name), AT) for name in INTENTS if name not in WHILE_PAUSED}
    wrong = [name for name, events in said.items() if not isinstance(events[0], e.Refused)]
    if moment(paused, LATER, LATER - AT) != moment(state, LATER, LATER - AT):
        wrong.append("time")
    back = _after(paused, decide(paused, Intent("listen"), AT))
    if wrong or replace(back, events=0) != replace(state, events=0, heard_at=AT, check_in=0):
        report.broken.append(f"a pause of the listening goes wrong {wrong}: {' / '.join(node.way)}")


def _after(state: State, events: tuple[e.Event, ...]) -> State:
    return reduce(lambda known, event: evolve(known, event, AT), events, state)


def _unsafe_to_run(state: State, book: Book) -> str:
    leaks = sorted(part for part in book.open if state.procedure.part(part).leak)
    if leaks:
        return f"with {', '.join(leaks)} open"
    fluid = state.procedure.fluid
    if not (fluid and state.drained):
        return ""
    unit = facts.poured(state).unit
    low_mark = (
        convert(facts.value(state, fluid.capacity), unit).magnitude
        - convert(facts.value(state, fluid.span), unit).magnitude
    )
    return "with too little in it" if facts.poured(state).magnitude < low_mark else ""


def _no_dead_ends(nodes: dict[Hashable, _Node], before: dict[Hashable, set[Hashable]], report: Report) -> None:
    """Note the states from which the end of the job can't be reached."""
    good = {key for key, node in nodes.items() if node.state.finished_at}
    waiting = deque(good)
    while waiting:
        for key in before.get(waiting.popleft(), ()):
            if key not in good:
                good.add(key)
                waiting.append(key)
    stuck = [node for key, node in nodes.items() if key not in good]
    if stuck:
        shortest = min(stuck, key=lambda node: len(node.way))
        report.broken.append(f"{len(stuck)} states lead nowhere, for instance: {' / '.join(shortest.way)}")
