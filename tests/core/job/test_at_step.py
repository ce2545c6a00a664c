"""How a job looks at a step, and what may be said there: whichever question is open, and nothing of other steps."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.adapters.library import Library
from assistant.core.errors import DataError
from assistant.core.hearing.phrases import allowed, allowed_at
from assistant.core.job.at_step import state_at

SHELF = Library()
JOB = SHELF.job("oil-and-filter")
CAR = SHELF.vehicle("tarnwick-plover-16")
AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
GENERAL = SHELF.phrases()


@pytest.mark.parametrize("step", [step.id for step in JOB.steps])
def test_at_every_step_all_that_its_questions_allow_may_be_said(step: str) -> None:
    state = state_at(JOB, CAR, step, AT)
    assert state.step == step
    phrases = allowed_at(state, GENERAL)
    assert len(set(phrases)) == len(phrases)
    assert set(allowed(state, GENERAL)) <= set(phrases)
    assert set(state.here.done) <= {phrase.says for phrase in phrases}


def test_gates_and_confirmations_are_in_it() -> None:
    said = {(phrase.intent, phrase.says) for phrase in allowed_at(state_at(JOB, CAR, "plug-torque", AT), GENERAL)}
    assert ("option", "[the] brake [warning] light is on") in said  # a challenge before anybody goes under the car
    assert ("confirm", "confirm [the] drain plug") in said
    assert not any("filter cap is" in says for _, says in said)


def test_another_step_names_all() -> None:
    with pytest.raises(DataError, match="there is no step 'drian' in oil-and-filter") as caught:
        state_at(JOB, CAR, "drian", AT)
    assert "There are: odometer, " in str(caught.value)
    assert len(caught.value.say.split()) <= 15
