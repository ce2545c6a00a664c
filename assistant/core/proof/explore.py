"""Walks every state of a procedure that differs from others in what counts, and holds each against the promises.

Abstracted are: time (a timer either runs or is over), amounts (their edges: nothing, the least and the most that are
allowed, and beyond them), dipstick readings (one of each class), how often a way leads back to an earlier step of the
procedure (`loops`), how far one goes back (`back`), and what was said before the last thing: of states that differ in
that only, one is walked on from. `looked_at.py` tells what of the past still counts; README.md why that is sound.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide, open_job
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve, opening
from assistant.core.job.timer import step_of
from assistant.core.proof.asking import AT, LATER, after_all, check_state
from assistant.core.proof.book import Book, noted
from assistant.core.proof.graph import EVER, Graph, Move, Node, Report, key_of
from assistant.core.proof.judged import misjudged
from assistant.core.proof.promises import broken_by, broken_in, moves_on
from assistant.core.proof.tried import NEVER, tried
from assistant.core.reply.answers import answer, ask
from assistant.core.types import Intent

TOLD = 250
"""After so many states it is told how far a walk is."""


def explore(
    procedure: Procedure,
    vehicle: Vehicle,
    *,
    loops: int = 1,
    back: int = EVER,
    most: int = 400_000,
    after: Sequence[Intent] = (),
    stop: bool = False,
    tell: Callable[[int], None] = lambda states: None,
) -> Report:
    """Return what a walk through all states finds; at most so many states are visited.

    A way leads back to an earlier step so many times at most, for instance to read the dipstick once more. The walk
    begins after what is meant first, and with `stop` ends at the first promise that is broken. `tell` is told now and
    then how many states were walked.
    """
    graph, report = Graph(procedure, loops, back), Report()
    waiting = deque([graph.add(replace(_first(procedure, vehicle, after), further=back))])
    asked: set[Hashable] = set()
    while waiting and not (stop and report.broken):
        key = waiting.popleft()
        node = graph.nodes[key]
        check_state(node, asked, report)
        for follower in _followers(node, report):
            report.moves += 1
            known = len(graph.nodes)
            other = graph.lead(key, follower)
            if len(graph.nodes) > known:
                waiting.append(other)
                if not len(graph.nodes) % TOLD:
                    tell(len(graph.nodes))
        if len(graph.nodes) > most:
            report.note(f"more than {most} states, the walk was given up", ())
            break
    report.states = len(graph.nodes)
    if not waiting:
        graph.no_dead_ends(report)
    return report


def _first(procedure: Procedure, vehicle: Vehicle, after: Sequence[Intent]) -> Node:
    node = begun(procedure, vehicle)
    for intent in after:
        node = led(node, Move(intent.name, (intent,)), decide(node.state, intent, AT), Report())
    return node


def begun(procedure: Procedure, vehicle: Vehicle) -> Node:
    """Return a job that just began, with its book."""
    started, *rest = open_job(procedure, vehicle, AT)
    assert isinstance(started, e.JobOpened)
    node = led(Node(opening(started, AT), Book(), ()), Move(""), tuple(rest), Report())
    return replace(node, way=())


def _followers(node: Node, report: Report) -> Iterator[Node]:
    for move, events in _moves(node.state):
        yield led(node, move, events, report)


def led(node: Node, move: Move, events: tuple[e.Event, ...], report: Report) -> Node:
    """Return where facts lead, each held against the promises on the way."""
    state, book, way = node.state, node.book, (*node.way, move)
    for event in events:
        for fault in broken_by(state, book, event):
            report.note(fault, way)
        report.finished += isinstance(event, e.JobFinished)
        book = noted(state, book, event)
        state = evolve(state, event, AT)
    for fault in misjudged(state, book.judged):
        report.note(fault, way)
    if NEVER in move.label and moves_on(events):
        report.note(f"{move.label.split(NEVER)[1].strip(': ')} was taken, at {node.state.step}", way)
    said = answer(node.state if node.state.step else state, events, state).say
    if events and move.label and e.Asked("hush") not in events and not said:
        report.note(f"no reply to {move.label!r}", node.way)
    for fault in _unasked(node.state, events, state, said):
        report.note(fault, way)
    if "{" in said or "}" in said:
        report.note(f"a name is spoken as it is written, at {state.step}", way)
    return Node(state, book, way)


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
            events, move = moment(node.state, at, timedelta(minutes=10)), Move(f"{meant} s")
        else:
            events, move = decide(node.state, meant, at), meaning(meant)
        node = led(replace(node, way=node.way[-40:]), move, events, report)
        for fault in broken_in(node.state, node.book):
            report.note(fault, node.way)
        report.moves += 1
        seen.add((key_of(node), node.state.path))
    report.states = len(seen)
    return report


def meaning(intent: Intent) -> Move:
    """Return the move of a person who means something."""
    return Move(f"{intent.name} {intent.option or ''} {intent.words}".strip(), (intent,))


PARKED = (Intent("park"), Intent("go-on"))


def _moves(state: State) -> Iterator[tuple[Move, tuple[e.Event, ...]]]:
    for intent in tried(state):
        yield meaning(intent), decide(state, intent, AT)
    if not state.finished_at:
        parked = decide(state, PARKED[0], AT)
        events = (*parked, *decide(after_all(state, parked), PARKED[1], AT))
        yield Move("park, and carry on", PARKED), events
    if state.timers:
        yield Move("time passes", passes=True), moment(state, LATER, None)
