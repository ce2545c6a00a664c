"""A job done straight on: what a person says who does each thing as it is asked, on any vehicle with any values."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Spec, Vehicle
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import TOPICS, decide, open_job
from assistant.core.job.question import OF_STEP, Waiting, question
from assistant.core.job.state import State, evolve, fold
from assistant.core.proof.tried import NEVER, tried
from assistant.core.quantities.units import Amount
from assistant.core.reply.answers import answer
from assistant.core.types import Intent

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
MANY = 160
"""A straight job takes fewer turns."""
LEADS_NOWHERE = (e.Refused, e.Denied, e.StopCalled)
NAMES = ("confirm", "option", "value", "claim", "new", "next")
"""What leads on, the first that does."""
PREFERRED = ("good", "what is wanted", "jack and stands")
"""What is said of several things that lead on."""


def straight_on(
    procedure: Procedure, vehicle: Vehicle, values: Mapping[str, Amount], told: Mapping[str, Spec] | None = None
) -> Iterator[tuple[State, str]]:
    """Do a job, telling each value that is asked for; yield each state with what was said in it."""
    events, state, at, rows = open_job(procedure, vehicle, AT, told=dict(told or {})), None, AT, []
    for _ in range(MANY):
        for event in events:
            rows.append(e.Recorded("job", len(rows) + 1, at, event))
        before, state = state or fold(rows[:1]), fold(rows) if state is None else after(state, events, at)
        yield state, answer(before, events, state).say
        if state.finished_at:
            return
        at += timedelta(seconds=20)
        events = _meant(state, values, lambda intent, at=at, state=state: decide(state, intent, at))
    raise AssertionError(f"no way on at {state.step}, {question(state)}")


def after(state: State, events: tuple[e.Event, ...], at: datetime) -> State:
    for event in events:
        state = evolve(state, event, at)
    return state


def _meant(
    state: State, values: Mapping[str, Amount], decided: Callable[[Intent], tuple[e.Event, ...]]
) -> tuple[e.Event, ...]:
    """Return the facts of the first thing that leads on here."""
    asked = question(state)
    if state.timers:
        return moment(state, state.timers[0].due, None)
    if asked.waiting is Waiting.VALUE:
        return decided(Intent("value", value=values[asked.about]))
    names = ("condition",) if asked.waiting is Waiting.CONDITION else NAMES
    ways = sorted(
        (one for one in tried(state) if one.name in names and NEVER not in one.words),
        key=lambda one: (names.index(one.name), one.words not in PREFERRED),
    )
    found = [decided(one) for one in ways]
    leading = (
        facts for facts in found if not any(isinstance(one, e.Refused | e.Denied | e.StopCalled) for one in facts)
    )
    facts = next(leading, None)
    assert facts, f"nothing leads on from {state.step}, {asked}"
    return facts


def sound(state: State, said: str) -> None:
    """Hold what holds of every state against one: nothing raised, nothing unsaid, every usual question answered."""
    assert said and "{" not in said, said  # a name in braces is never spoken as it is written
    for topic in (*TOPICS, "pause", "park"):
        if topic == "hush":
            continue
        facts = decide(state, Intent(topic), AT)
        told = answer(state, facts, after(state, facts, AT)).say
        assert told and "{" not in told, (topic, told)
    if question(state).waiting is Waiting.VALUE:
        assert question(state).about in state.procedure.values
    assert question(state).waiting not in OF_STEP or state.begun
