"""Walks every reachable state of a procedure and holds each against the promises (`promises.py`).

Abstracted are: time (a timer either runs or is over), amounts (their edges: nothing, the least and the most that are
allowed, and beyond them), dipstick readings (one of each class), how often a way leads back to an earlier step of the
procedure (`loops`), and what was said before the last thing: of states that differ in that only, one is walked on from.
Going back and taking back are moves like any other, up to the whole way.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import reduce
from itertools import pairwise

from assistant.core.data.procedure import Procedure, Vehicle
from assistant.core.job import events as e
from assistant.core.job import known as facts
from assistant.core.job.alone import moment
from assistant.core.job.engine import INTENTS, WHILE_PAUSED, decide, open_job
from assistant.core.job.filling import bounds_broken, fill_of
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve, opening
from assistant.core.job.timer import step_of
from assistant.core.proof.judged import misjudged
from assistant.core.proof.promises import Book, broken_by, broken_in, moves_on, noted
from assistant.core.proof.tried import NEVER, tried
from assistant.core.reply.answers import answer, ask
from assistant.core.types import Intent

AT = datetime(2026, 1, 1, tzinfo=UTC)
LATER = AT + timedelta(days=1)


@dataclass(slots=True)
class Report:
    """What was found: how much was walked, and every broken promise with a shortest way to it."""

    states: int = 0
    moves: int = 0
    broken: list[str] = field(default_factory=list)
    finished: int = 0

    def note(self, fault: str, way: tuple[str, ...]) -> None:
        """Keep a broken promise with the way to it, each promise once: the first way is a shortest one."""
        if not any(known.startswith(f"{fault}:") for known in self.broken):
            self.broken.append(f"{fault}: {' / '.join(way)}")


@dataclass(slots=True)
class _Node:
    state: State
    book: Book
    way: tuple[str, ...]


def explore(
    procedure: Procedure,
    vehicle: Vehicle,
    *,
    loops: int = 1,
    most: int = 400_000,
    after: Sequence[Intent] = (),
    stop: bool = False,
) -> Report:
    """Return what a walk through all states finds; at most so many states are visited.

    A way leads back to an earlier step so many times at most, for instance to read the dipstick once more. The walk
    begins after what is meant first, and with `stop` ends at the first promise that is broken.
    """
    graph, report = _Graph({step.id: place for place, step in enumerate(procedure.steps)}, loops), Report()
    waiting = deque([graph.add(_first(procedure, vehicle, after))])
    asked: set[Hashable] = set()
    while waiting and not (stop and report.broken):
        key = waiting.popleft()
        node = graph.nodes[key]
        _check_state(node, asked, report)
        for follower in _followers(node, report):
            report.moves += 1
            known = len(graph.nodes)
            other = graph.lead(key, follower)
            if len(graph.nodes) > known:
                waiting.append(other)
        if len(graph.nodes) > most:
            report.note(f"more than {most} states, the walk was given up", ())
            break
    report.states = len(graph.nodes)
    if not waiting:
        graph.no_dead_ends(report)
    return report


class _Graph:
    """The states that were walked, and which leads to which."""

    def __init__(self, order: Mapping[str, int], loops: int) -> None:
        self.nodes: dict[Hashable, _Node] = {}
        self._order = order
        self._loops = loops
        self._before: dict[Hashable, set[Hashable]] = {}
        self._cut: dict[Hashable, set[Hashable]] = {}
        """Where a loop would have led that was not walked: how a job stands there, and from which states."""

    def add(self, node: _Node) -> Hashable:
        """Keep a state, if it is new, and return its key."""
        key = _key(node)
        self.nodes.setdefault(key, node)
        return key

    def lead(self, key: Hashable, follower: _Node) -> Hashable:
        """Note that a state leads to another; a loop too many is not followed."""
        if _loops(follower.state, self._order) > self._loops:
            self._cut.setdefault(_stands(follower.state), set()).add(key)
            return key
        other = self.add(follower)
        self._before.setdefault(other, set()).add(key)
        return other

    def no_dead_ends(self, report: Report) -> None:
        """Note the states from which the end of the job can't be reached.

        A loop that was not walked leads on where some walked state at the same step, with the same parts open, does.
        """
        good = {key for key, node in self.nodes.items() if node.state.finished_at}
        waiting, led = deque(good), set[Hashable]()
        while waiting:
            key = waiting.popleft()
            stands = _stands(self.nodes[key].state)
            leading = self._before.get(key, set()) | (self._cut.get(stands, set()) if stands not in led else set())
            led.add(stands)
            for other in leading - good:
                good.add(other)
                waiting.append(other)
        stuck = [node for key, node in self.nodes.items() if key not in good]
        if stuck:
            shortest = min(stuck, key=lambda node: len(node.way))
            report.broken.append(f"{len(stuck)} states lead nowhere, for instance: {' / '.join(shortest.way)}")


def _stands(state: State) -> Hashable:
    return state.step, frozenset(state.ledger.parts)


def _first(procedure: Procedure, vehicle: Vehicle, after: Sequence[Intent]) -> _Node:
    node = begun(procedure, vehicle)
    for intent in after:
        node = _led(node, intent.name, decide(node.state, intent, AT), Report())
    return node


def begun(procedure: Procedure, vehicle: Vehicle) -> _Node:
    """Return a job that just began, with its book."""
    started, *rest = open_job(procedure, vehicle, AT)
    assert isinstance(started, e.JobOpened)
    return _led(_Node(opening(started, AT), Book(), ()), "", tuple(rest), Report())


def _key(node: _Node) -> Hashable:
    state = node.state
    return (
        state.path, state.begun, state.pending, state.doubted, state.gates, frozenset(state.evidence),
        frozenset(state.told), state.unknown, facts.tags(state), state.conditions, _amounts(state), state.drained,
        frozenset(timer.name for timer in state.timers), state.stopping, state.stopping and state.out, state.turning,
        state.renewed, bool(state.finished_at), node.book,
    )  # fmt: skip


def _amounts(state: State) -> Hashable:
    """Return what was poured in, as far as it matters: by capacity and since the level was read."""
    filled = fill_of(state, state.here) if not facts.missing(state, state.here) else None
    stands = (filled.enough, filled.surplus.magnitude > 0, filled.total.magnitude > 0) if filled else None
    return stands, *(_in_it(state, name) for name in state.procedure.fluids)


def _in_it(state: State, name: str) -> Hashable:
    try:
        return bounds_broken(state, name), facts.poured(state, name).magnitude > 0
    except facts.Missing:
        return None


def _followers(node: _Node, report: Report) -> Iterator[_Node]:
    for name, events in _moves(node.state):
        yield _led(node, name, events, report)


def _led(node: _Node, name: str, events: tuple[e.Event, ...], report: Report) -> _Node:
    """Return where facts lead, each held against the promises on the way."""
    state, book, way = node.state, node.book, (*node.way, name)
    for event in events:
        for fault in broken_by(state, book, event):
            report.note(fault, way)
        report.finished += isinstance(event, e.JobFinished)
        book = noted(state, book, event)
        state = evolve(state, event, AT)
    for fault in misjudged(state, book.judged):
        report.note(fault, way)
    if NEVER in name and moves_on(events):
        report.note(f"{name.split(NEVER)[1].strip(': ')} was taken, at {node.state.step}", way)
    said = answer(node.state if node.state.step else state, events, state).say
    if events and node.way and e.Asked("hush") not in events and not said:
        report.note(f"no reply to {name!r}", node.way)
    for fault in _unasked(node.state, events, state, said):
        report.note(fault, way)
    if "{" in said or "}" in said:
        report.note(f"a name is spoken as it is written, at {state.step}", way)
    return _Node(state, book, way)


def _unasked(before: State, events: tuple[e.Event, ...], state: State, said: str) -> Iterator[str]:
    """Yield where an answer that is to be asked for again starts no time, or its end does not ask."""
    again = any(isinstance(event, e.Refused) and event.code == "again" for event in events)
    if again and not any(timer.again for timer in state.timers):
        yield f"no time runs after which it is asked again, at {state.step}"
    ended = [event.name for event in events if isinstance(event, e.TimerEnded) and event.name != step_of(event.name)]
    if ended and not before.parked and ask(state, question(state)) not in said:
        yield f"not asked again when its time was over, at {state.step}"


def walk(procedure: Procedure, vehicle: Vehicle, turns: Iterable[Callable[[State], Intent | int]]) -> Report:
    """Return what a long talk finds: each turn gives what is meant in a state, or how many seconds pass.

    Where a job is finished the next one begins.
    """
    report, node, at = Report(), begun(procedure, vehicle), AT
    seen: set[Hashable] = set()
    for turn in turns:
        if node.state.finished_at:
            node = begun(procedure, vehicle)
        meant = turn(node.state)
        at += timedelta(seconds=meant if isinstance(meant, int) else 2)
        if isinstance(meant, int):
            events, name = moment(node.state, at, timedelta(minutes=10)), f"{meant} s"
        else:
            events = decide(node.state, meant, at)
            name = f"{meant.name} {meant.option or ''} {meant.words}".strip()
        node = _led(replace(node, way=node.way[-40:]), name, events, report)
        for fault in broken_in(node.state, node.book):
            report.note(fault, node.way)
        report.moves += 1
        seen.add(_key(node))
    report.states = len(seen)
    return report


def _loops(state: State, order: Mapping[str, int]) -> int:
    """Return how often the way leads back to an earlier step."""
    return sum(order[step] <= order[before] for before, step in pairwise(state.path))


def _moves(state: State) -> Iterator[tuple[str, tuple[e.Event, ...]]]:
    for intent in tried(state):
        label = f"{intent.name} {intent.option or ''} {intent.words}".strip()
        yield label, decide(state, intent, AT)
    if not state.finished_at:
        parked = decide(state, Intent("park"), AT)
        yield "park, and carry on", (*parked, *decide(_after(state, parked), Intent("go-on"), AT))
    if state.timers:
        yield "time passes", moment(state, LATER, None)


def _check_state(node: _Node, asked: set[Hashable], report: Report) -> None:
    for fault in broken_in(node.state, node.book):
        report.note(fault, node.way)
    here = (node.state.step, str(question(node.state)))
    if here not in asked:  # what only asks, and a pause, are the same wherever the same is waited for
        asked.add(here)
        _check_asking(node, report)
        _check_pause(node, report)


_ALWAYS_ANSWERED = ("repeat", "where", "open", "help", "alarm")


def _check_asking(node: _Node, report: Report) -> None:
    """Note where the usual questions, a call for help or putting the job aside find no answer, there or once aside."""
    states = [node.state]
    if not node.state.finished_at:
        parked = decide(node.state, Intent("park"), AT)
        states.append(_after(node.state, parked))
        if any(isinstance(event, e.Refused) for event in parked):
            report.note(f"the job can't be put aside at {node.state.step}", node.way)
    for state in states:
        for name in _ALWAYS_ANSWERED:
            events = decide(state, Intent(name), AT)
            refused = any(isinstance(event, e.Refused) for event in events)
            if refused or not answer(state, events, _after(state, events)).say:
                report.note(f"{name} finds no answer at {state.step}, {question(state)}", node.way)


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
    if wrong or replace(back, events=0) != replace(state, events=0, heard_at=AT, check_in=0, asked_at=None):
        report.note(f"a pause of the listening goes wrong {wrong}", node.way)


def _after(state: State, events: tuple[e.Event, ...]) -> State:
    return reduce(lambda known, event: evolve(known, event, AT), events, state)
