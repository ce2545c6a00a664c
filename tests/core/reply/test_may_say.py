"""What may be said now, as data: each example is understood as what it is, and each bound is that of the check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job import events as e
from assistant.core.job.bounds import expected, of_asked
from assistant.core.job.engine import INTENTS, decide
from assistant.core.job.question import question
from assistant.core.job.state import State
from assistant.core.quantities.units import Amount, Kind
from assistant.core.reply.may_say import Sayable, may_say, of_phrases, record_of
from assistant.core.types import Hypothesis, Intent, Phrase, Verdict
from tests.talk import RAMPS, WHOLE, Talk

BARE = {"values": {}, "notes": {}}


def places(talk: Talk, words: str) -> Iterator[State]:
    """Each question of a talk, the first time that it is asked."""
    seen = set()
    for part in words.split(" / "):
        key = (talk.state.step, talk.waiting)
        if key not in seen:
            seen.add(key)
            yield talk.state
        talk.say(part)
    yield talk.state


def said(talk: Talk, state: State) -> tuple[Sayable, ...]:
    return may_say(state, talk.desk.phrases)


@pytest.mark.parametrize("words", [WHOLE, RAMPS])
def test_each_example_is_understood_as_what_it_is(talk: Talk, words: str) -> None:
    known: set[tuple[str, str]] = set()
    for state in places(talk, words):
        for one in said(talk, state):
            where = "" if not one.answers else str(question(state))
            if (where, one.example) in known:
                continue
            known.add((where, one.example))
            match = talk.desk.ears.read(Hypothesis(one.example, 0.0, "typed"), allowed(state, talk.desk.phrases))
            found = understand(match, str(state.vehicle.units))
            assert found.verdict is Verdict.ACCEPTED, one
            assert found.intent
            assert (found.intent.name, found.intent.option) == (one.intent, one.option)
            assert (found.intent.value is not None) == (one.kind is not None)
    assert len(known) > 50


def test_each_bound_is_the_last_value_that_is_taken(talk: Talk) -> None:
    kinds = set()
    for state in places(talk, WHOLE):
        bounds = of_asked(state)
        if not bounds:
            continue
        kinds.add(bounds.least.kind)
        step = Decimal(1) if bounds.least.kind is Kind.COUNT else Decimal("0.001")
        assert _taken(state, bounds.least)
        assert _taken(state, bounds.most)
        assert not _taken(state, replace(bounds.most, magnitude=bounds.most.magnitude + step))
        assert not _taken(state, replace(bounds.least, magnitude=bounds.least.magnitude - step))
    assert kinds == {Kind.DISTANCE, Kind.MASS, Kind.COUNT, Kind.TORQUE, Kind.VOLUME}


def _taken(state: State, value: Amount) -> bool:
    assert state.heard_at
    facts = decide(state, Intent("value", value=value), state.heard_at)
    return not any(isinstance(fact, e.Refused) for fact in facts)


def test_what_only_one_value_is_right_for_shows_that_one(talk: Talk) -> None:
    shown = {}
    for state in places(talk, WHOLE):
        if expected(state):
            shown[str(question(state))] = next(one.example for one in said(talk, state) if one.intent == "value")
    assert shown["tighten:drain-plug"] == "thirty newton metres"
    assert shown["tighten:filter-cap"] == "twenty five newton metres"
    assert shown["reading:poured"] == "three point five litres"
    assert shown["reading:topped-up"] == "zero point seven litres"


def test_a_value_that_lacks_is_told_in_the_units_and_bounds_of_the_question(talk: Talk) -> None:
    talk.begin(talk.library.vehicle("bannockfield-heron-25").model_copy(update=BARE))
    found = {}
    for state in places(talk, "fifty thousand miles / next step / next step / the ramps / on concrete"):
        for one in said(talk, state):
            if question(state).waiting == "value" and one.intent == "value":
                found[question(state).about] = one
    assert found
    for name, one in found.items():
        wanted = talk.state.procedure.values[name]
        assert one.kind == wanted.kind
        assert one.unit in ("US qt", "lbf·ft", "lb", "mi", "months", "mo")
        assert one.least is not None
        assert one.most is not None
        assert one.least < one.most


def test_what_answers_comes_first_and_only_it_is_marked(talk: Talk) -> None:
    first = said(talk, talk.state)
    assert [one.answers for one in first] == sorted((one.answers for one in first), reverse=True)
    assert {one.intent for one in first if one.answers} == {"value"}
    assert {"repeat", "back", "park", "help", "alarm", "danger"} <= {one.intent for one in first if not one.answers}
    assert {one.intent for one in first} <= {*INTENTS}
    assert "next" not in {one.intent for one in first}


def test_parked_paused_and_finished_jobs_say_what_leads_on(talk: Talk) -> None:
    talk.say("park the job")
    assert [one.intent for one in said(talk, talk.state) if one.answers] == ["go-on"]
    talk.say("carry on with the job / stop listening")
    assert [one.intent for one in said(talk, talk.state) if one.answers] == ["listen"]
    talk.say("listen again")
    talk.say(WHOLE)
    over = said(talk, talk.state)
    assert not any(one.answers for one in over)
    assert "repeat" in {one.intent for one in over}
    assert not {"back", "undo", "park", "skip", "confirm"} & {one.intent for one in over}


def test_a_call_comes_before_each_example_where_it_is_wanted(talk: Talk) -> None:
    found = may_say(talk.state, talk.desk.phrases, "hello workshop")
    assert found
    assert all(one.example.startswith("hello workshop ") for one in found)


def test_before_a_job_each_meaning_is_there_once() -> None:
    phrases = (Phrase("job", "take the first [one]", "a", affirms=True), Phrase("job", "the oil", "a", affirms=True),
               Phrase("alarm", "help me"))  # fmt: skip
    found = [
        (one["intent"], one["option"], one["example"], one["answers"]) for one in map(record_of, of_phrases(phrases))
    ]
    assert found == [("job", "a", "take the first one", True), ("alarm", None, "help me", False)]
