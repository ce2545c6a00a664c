"""Whatever is said, in any order: the state is legal, nothing is raised, and the encoded facts replay to it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import INTENTS, decide, open_job
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve, fold
from assistant.core.proof.explore import walk
from assistant.core.quantities.units import SYMBOLS, Amount, Level, kind_of
from assistant.core.reply.answers import answer
from assistant.core.types import Intent
from tests.chance import turns
from tests.fitting import vehicles_for

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
START = datetime(2026, 3, 14, 9, tzinfo=UTC)
OPTIONS = sorted(
    {option.id for gate in JOB.gates for ask in gate.asks for option in ask.options}
    | {option.id for step in JOB.steps if step.choice for option in step.choice.options}
)

amounts = st.builds(
    lambda number, unit: Amount(number, unit, kind_of(unit)),
    st.decimals(-10, 100_000, places=2, allow_nan=False) | st.sampled_from([Decimal("NaN"), Decimal("Infinity")]),
    st.sampled_from(sorted(SYMBOLS)),
)
levels = st.sampled_from([Level(Decimal("0"), Decimal("0.25"), "low"), Level(Decimal("1.05"), Decimal("2"), "over"),
                          Level(Decimal("0.7"), Decimal("0.9"), "good")])  # fmt: skip
helpful = st.sampled_from([Amount(Decimal(number), unit, kind_of(unit)) for number, unit in
                           ((30, "newton_metre"), (25, "newton_metre"), (2, "one"), (1, "tonne"), (3, "litre"),
                            (84200, "kilometre"))])  # fmt: skip
intents = st.one_of(
    st.just(Intent("next")),
    st.just(Intent("listen")),  # often enough that most of the talk is not lost on paused ears
    st.builds(Intent, st.sampled_from(sorted(set(INTENTS) - {"value", "option"}))),
    st.builds(lambda value: Intent("value", value=value), amounts | levels | helpful | st.none()),
    st.builds(lambda option: Intent("option", option=option), st.sampled_from(OPTIONS)),
)
moves = st.lists(st.one_of(intents, st.integers(1, 1200)), max_size=60)


@settings(max_examples=150, deadline=None)
@given(moves, st.sampled_from(vehicles_for(JOB)))
def test_any_talk_is_legal_and_replays(talk: list[Intent | int], vehicle) -> None:
    at = START
    events = open_job(JOB, vehicle, at)
    rows = [(event, at) for event in events]
    state = fold(numbered(rows))
    for move in talk:
        if isinstance(move, int):
            at += timedelta(seconds=move)
            facts = moment(state, at, timedelta(minutes=10))
        else:
            facts = decide(state, move, at)
            assert facts  # whatever is meant has an answer on record
        before = state
        for fact in facts:
            state = evolve(state, fact, at)
            rows.append((fact, at))
        answer(before, facts, state)
        legal(state)
    assert fold(numbered([(e.decode(*e.encode(event)), when) for event, when in rows])) == state


def numbered(rows: list[tuple[e.Event, datetime]]) -> list[e.Recorded]:
    return [e.Recorded("job", number, at, event) for number, (event, at) in enumerate(rows, 1)]


def legal(state: State) -> None:
    assert state.step in {step.id for step in JOB.steps}
    assert str(question(state))
    assert set(state.gates) <= {gate.id for gate in JOB.gates}
    if state.finished_at:
        assert not state.ledger.parts
        assert not state.possible & {"on-stands", "on-ramps", "engine-running"}


@pytest.mark.parametrize("vehicle", vehicles_for(JOB), ids=lambda vehicle: vehicle.id)
@pytest.mark.parametrize("lacks", [(), ("drain-plug-torque", "oil-capacity", "mass")])
@pytest.mark.parametrize("seed", range(3))
def test_a_long_talk_by_chance_breaks_no_promise(vehicle: Vehicle, lacks: tuple[str, ...], seed: int) -> None:
    values = {name: spec for name, spec in vehicle.values.items() if name not in lacks}
    report = walk(JOB, vehicle.model_copy(update={"values": values}), turns(JOB, seed, 4_000))
    assert report.broken == []
    assert report.moves == 4_000
    assert report.states > 200
