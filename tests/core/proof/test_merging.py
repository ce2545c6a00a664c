"""What a walk leaves out of what tells states apart is not looked at: held against walks that leave nothing out, and
against talk by chance, on jobs that are broken on purpose."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.data.procedure import Procedure
from assistant.core.proof import graph
from assistant.core.proof.explore import explore, walk
from assistant.core.proof.graph import Report
from assistant.core.proof.looked_at import LookedAt
from tests.chance import turns
from tests.synthetic import CAR, synthetic

SHELF = Library()
HERE = Path(__file__).parent / "rules"
JOB, RED = SHELF.read_job(HERE / "job.yaml")[0], SHELF.read_vehicle(HERE / "vehicle.yaml")[0]
FIELDS: dict[str, Any] = {"needs": (), "opens": (), "closes": (), "tighten": None, "acts": (), "choice": None}
"""What is taken from a step to break a job."""
quickly = settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def promises(report: Report) -> set[str]:
    """Return the promises that are broken, without the ways and counts."""
    return {line.partition(": ")[0].lstrip("0123456789 ") for line in report.broken}


def broken(step: int, field: str) -> Procedure:
    steps = tuple(
        one.model_copy(update={field: FIELDS[field]}) if number == step else one for number, one in enumerate(JOB.steps)
    )
    return JOB.model_copy(update={"steps": steps})


@quickly
@given(step=st.integers(0, len(JOB.steps) - 1), field=st.sampled_from(sorted(FIELDS)), seed=st.integers(0, 999))
def test_talk_by_chance_breaks_no_promise_that_a_walk_holds(step: int, field: str, seed: int) -> None:
    job = broken(step, field)
    walked = promises(explore(job, RED, loops=0, back=1, most=20_000))
    assert promises(walk(job, RED, turns(job, seed, 400))) <= walked


@pytest.mark.parametrize(
    ("step", "field"), [(2, "acts"), (3, "needs"), (5, "needs"), (5, "tighten"), (6, "closes"), (1, "choice")]
)
def test_a_walk_with_merged_states_finds_what_one_without_finds(
    step: int, field: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = broken(step, field)
    merged = explore(job, RED, loops=0, back=1, most=40_000)
    monkeypatch.setattr(LookedAt, "past", lambda self, state, further: (state.path, state.choices))
    monkeypatch.setattr(graph, "looked_at_of", lambda procedure, book: book)
    whole = explore(job, RED, loops=0, back=1, most=40_000)
    assert promises(merged) == promises(whole)
    assert merged.states <= whole.states


def test_a_choice_that_nothing_asks_for_any_more_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    job = synthetic(choices=6)
    merged = explore(job, CAR, loops=0, back=1)
    assert merged.broken == []
    assert merged.states < 40 * 6  # without that it doubles with each choice
    always = frozenset(step.choice.name for step in job.steps if step.choice)
    monkeypatch.setattr(LookedAt, "_live", {step.id: always for step in job.steps})
    assert explore(job, CAR, loops=0, back=1).states > 2 * merged.states


def test_further_back_is_further_walked() -> None:
    job = synthetic(steps=8, parts=1)
    states = [explore(job, CAR, loops=0, back=back).states for back in (0, 1, 3, 8, graph.EVER)]
    assert states == sorted(states)
    assert states[0] < states[-1]
