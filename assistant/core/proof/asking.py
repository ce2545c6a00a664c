"""What finds an answer wherever a job waits: the usual questions, a call for help, putting it aside, a pause."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import reduce

from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import INTENTS, WHILE_PAUSED, decide
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve
from assistant.core.proof.graph import Node, Report
from assistant.core.proof.promises import broken_in
from assistant.core.reply.answers import answer
from assistant.core.types import Intent

AT = datetime(2026, 1, 1, tzinfo=UTC)
LATER = AT + timedelta(days=1)


def check_state(node: Node, asked: set[Hashable], report: Report) -> None:
    """Note the promises that are broken in a state."""
    for fault in broken_in(node.state, node.book):
        report.note(fault, node.way)
    here = (node.state.step, str(question(node.state)))
    if here not in asked:  # what only asks, and a pause, are the same wherever the same is waited for
        asked.add(here)
        _check_asking(node, report)
        _check_pause(node, report)


_ALWAYS_ANSWERED = ("repeat", "where", "open", "help", "alarm")


def _check_asking(node: Node, report: Report) -> None:
    """Note where the usual questions, a call for help or putting the job aside find no answer, there or once aside."""
    states = [node.state]
    if not node.state.finished_at:
        parked = decide(node.state, Intent("park"), AT)
        states.append(after_all(node.state, parked))
        if any(isinstance(event, e.Refused) for event in parked):
            report.note(f"the job can't be put aside at {node.state.step}", node.way)
    for state in states:
        for name in _ALWAYS_ANSWERED:
            events = decide(state, Intent(name), AT)
            refused = any(isinstance(event, e.Refused) for event in events)
            if refused or not answer(state, events, after_all(state, events)).say:
                report.note(f"{name} finds no answer at {state.step}, {question(state)}", node.way)


def _check_pause(node: Node, report: Report) -> None:
    """Note where a pause of the listening lets anything pass, holds the time up, or is not over when it ends."""
    state = node.state
    if state.parked or state.finished_at:
        return
    paused = after_all(state, decide(state, Intent("pause"), AT))
    said = {name: decide(paused, Intent(name), AT) for name in INTENTS if name not in WHILE_PAUSED}
    wrong = [name for name, events in said.items() if not isinstance(events[0], e.Refused)]
    if moment(paused, LATER, LATER - AT) != moment(state, LATER, LATER - AT):
        wrong.append("time")
    back = after_all(paused, decide(paused, Intent("listen"), AT))
    if wrong or replace(back, events=0) != replace(state, events=0, heard_at=AT, check_in=0, asked_at=None):
        report.note(f"a pause of the listening goes wrong {wrong}", node.way)


def after_all(state: State, events: tuple[e.Event, ...]) -> State:
    """Return the state after some facts."""
    return reduce(lambda known, event: evolve(known, event, AT), events, state)
