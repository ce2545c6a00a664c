"""What is worked out beside a job: asked for in words, its inputs asked one by one, and the job stays where it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from assistant.core.amounts.levels import read_level
from assistant.core.amounts.reader import read_amount
from assistant.core.compute.base.calculation import Form, Input
from assistant.core.compute.base.showing_answers import spoken
from assistant.core.compute.work_out import CALCULATIONS, work_out
from assistant.core.data.catalogue import NO_SUMS, Wish, inputs_of
from assistant.core.hearing.phrases import allowed
from assistant.core.job import events as e
from assistant.core.job.aside.asking import LEAVE, questions
from assistant.core.job.aside.deciding import DURING, joined
from assistant.core.job.aside.telling import TOLD
from assistant.core.job.engine import INTENTS, TOPICS, decide
from assistant.core.job.question import Waiting, question
from assistant.core.job.state import State, evolve
from assistant.core.quantities.units import Kind
from assistant.core.reply.possible import MOST_WAYS
from assistant.core.types import Intent
from assistant.path.turn import meant
from tests.talk import CLOSE, DRAIN, EVIDENCE, PLUG, READY, SUMS, Talk

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
AGE = "how old is this tyre"


def after(state: State, events: tuple[e.Event, ...]) -> State:
    for event in events:
        state = evolve(state, event, AT)
    return state


def job_of(state: State) -> State:
    """A state without what only tells of the talk."""
    return replace(state, aside=(), events=0, heard_at=AT, check_in=0, asked_at=None)


def test_a_question_beside_the_job_is_asked_answered_and_left_where_the_job_was(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    before, waiting = talk.state, talk.waiting
    talk.say("work something out")
    assert talk.said.startswith("What shall I work out? Say: engine oil level. Or:")
    assert talk.said.count("Or:") < MOST_WAYS and "tyres and wheels" not in talk.said, "nobody keeps a dozen in mind"
    talk.say("what can I say")
    assert "tyres and wheels" in talk.said
    talk.say("tyres and wheels / what can I say")
    assert "how old is this tyre" in talk.said
    talk.say(AGE)
    assert talk.said == "Say the last four figures of the date code, one by one."
    talk.say("three four one nine")
    assert talk.said.startswith("I heard three four one nine. It was made in the week that began on the twenty-fifth")
    assert "six point five years. Back to: " in talk.said
    assert talk.waiting == waiting
    assert job_of(talk.state) == job_of(before)
    assert talk.replayed() == talk.state


@pytest.mark.parametrize("way", [AGE, "How old is this tyre?", "tell me the age of the tyre"])
def test_who_types_asks_for_it_at_once_and_in_figures(talk: Talk, way: str) -> None:
    talk.say(f"{way} / 0423")
    assert "I heard zero four two three." in talk.said
    assert isinstance(talk.facts()[-1], e.WorkedOut)


def test_the_grammar_beside_a_job_holds_nothing_of_the_job(talk: Talk) -> None:
    talk.say(AGE)
    intents = {phrase.intent for phrase in allowed(talk.state, talk.desk.phrases)}
    assert intents == {"leave", "repeat", "help", "undo", "park", "pause", "hush", "alarm", "danger", "value"}


def test_what_cannot_be_is_asked_again_and_what_was_told_is_taken_back(talk: Talk) -> None:
    talk.say("does it pass a load test / ninety volts")
    assert talk.said.startswith("It must be one volt to fourteen, volts, one four. What voltage")
    talk.say("nine point five litres")
    assert talk.said.startswith("That is a volume, and I need a voltage.")
    talk.say("nine point five volts")
    assert talk.said == "I heard nine point five volts. How warm is the battery, in degrees?"
    talk.say("that was wrong")
    assert talk.said == "Taken back. What voltage does it keep after fifteen seconds of load?"
    talk.say("ten volts / minus ten degrees")
    assert "It passes." in talk.said


def test_it_is_left_by_its_words_which_the_refusal_names(talk: Talk) -> None:
    before = talk.state
    talk.say(AGE)
    events = decide(talk.state, Intent("next"), AT, SUMS)
    assert isinstance(events[0], e.Refused)
    assert LEAVE in events[0].say
    talk.say("forget that question")
    assert talk.said == "I forget it. Back to: odometer. What does the odometer show?"
    assert job_of(talk.state) == job_of(before)
    assert decide(talk.state, Intent("leave"), AT, SUMS)[0] == e.Refused("aside", "There is no question to forget.")


def test_what_can_be_asked_for_is_told_to_who_does_not_know(talk: Talk) -> None:
    talk.say("work something out / what can I say")
    assert talk.said.startswith("Say: engine oil level. Or: the right kind of oil.")
    assert talk.said.endswith(LEAVE)
    talk.say("the seat covers")
    assert "To hear them all, say: what can I say." in talk.said


def test_what_the_job_knows_is_taken_from_it_and_said(talk: Talk) -> None:
    talk.say("the first filling")
    assert talk.said.startswith("From the job: capacity, four point three litres; amount between the marks, one litre;")
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, PLUG, "my wrench is four hundred millimetres")))
    talk.say("what do I set the wrench to")
    assert "torque at the bolt, thirty, newton metres, three zero; length of the wrench, four hundred" in talk.said
    assert talk.said.endswith("How long is the adapter?")
    talk.say("fifty millimetres")
    assert "Twenty-six point six seven, newton metres" in talk.said
    assert not talk.state.torques


def test_a_value_told_beside_a_job_is_none_of_the_job(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, "next step / next step")))
    assert talk.waiting == "tighten:drain-plug"
    talk.say("what force does a torque make")
    assert talk.said.startswith("From the job: torque, thirty")
    talk.say("metric fourteen by one point five")
    assert talk.waiting == "tighten:drain-plug"
    talk.say("can that torque be meant / thirty newton metres")
    assert talk.state.pending is None


def test_what_waits_to_be_confirmed_still_waits(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, "next step / next step / thirty newton metres")))
    assert talk.waiting.startswith("confirm")
    pending = talk.state.pending
    talk.say(f"{AGE} / nine nine nine nine / not yet")
    assert talk.state.pending == pending
    talk.say("forget that question")
    assert talk.said.endswith("Say: confirm drain plug.")


def test_a_program_that_was_killed_asks_on(talk: Talk) -> None:
    talk.say(f"{READY} / does it pass a load test / ten volts")
    talk.desk.state = talk.replayed()
    turn = meant(talk.desk, Intent("go-on"))
    assert turn.reply.say.endswith("How warm is the battery, in degrees?")
    talk.say("ten degrees")
    assert "Back to: " in talk.said
    assert talk.replayed() == talk.state


@pytest.mark.parametrize("words", ["help me", "the car moved", "park the job"])
def test_what_is_for_the_person_ends_it(talk: Talk, words: str) -> None:
    talk.say(f"{AGE} / {words}")
    assert not talk.state.aside


def test_a_time_that_ends_meanwhile_is_told_and_the_question_stays(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {DRAIN.split(' / @')[0]} / {AGE}")
    turn = talk.wait(600)
    assert turn
    assert talk.waiting == "aside:tyre-age:code"
    told = [fact for fact in talk.facts() if isinstance(fact, e.TimerEnded)]
    assert told
    talk.say("three four one nine")
    assert talk.waiting.startswith("time:")


def test_who_is_asked_whether_all_is_well_may_answer_beside_the_job(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE} / {AGE}")
    talk.wait(600)
    assert talk.state.check_in == 1
    talk.say("I am here")
    assert talk.state.check_in == 0
    assert talk.said.endswith("one by one.")


def test_nothing_that_is_meant_beside_a_job_moves_it(talk: Talk) -> None:
    talk.say(" / ".join((READY, EVIDENCE, DRAIN, CLOSE.split(" / ")[0], AGE)))
    state = talk.state
    harmless = {*DURING} - {"park", "go-on", "pause", "danger", "alarm", "out"} | {*TOPICS}
    for name in INTENTS:
        events = decide(state, Intent(name), AT, SUMS)
        if name in harmless or name not in DURING:
            assert job_of(after(state, events)) == job_of(state), name
        if name not in DURING and name not in TOPICS:
            assert [type(event) for event in events] == [e.Refused], name


def test_without_a_catalogue_nothing_is_worked_out(talk: Talk) -> None:
    assert isinstance(decide(talk.state, Intent("work-out"), AT, NO_SUMS)[0], e.Refused)
    assert isinstance(decide(talk.state, Intent("told", "12"), AT, SUMS)[0], e.Refused)


def test_a_question_of_another_version_is_left(talk: Talk) -> None:
    asked = e.AsideAsked("tyre-age", "colour", "Which colour?", "")
    state = evolve(talk.state, asked, AT)
    assert decide(state, Intent("told", "red"), AT, SUMS)[-1] == e.AsideLeft()


OTHER = {("wrench-check", "smallest"): "6 N·m", ("wrench-check", "greatest"): "60 N·m"}
"""Given in the place of the example, which does not fit the torque that the job knows."""


def answer_to(each: Input, wish: Wish, part: str, text: str) -> Intent:
    """What a person means who tells the example of an input; a part of it by its figures."""
    if wish.typed:
        return Intent(TOLD, text)
    if part:
        return Intent("value", value=read_amount({"width": "205", "ratio": "55", "rim": "16"}[part], Kind.COUNT))
    if wish.says:
        return Intent("option", option=text)
    if each.takes is Form.LEVEL:
        return Intent("value", value=read_level(text))
    if isinstance(each.takes, Kind):
        return Intent("value", value=read_amount(text, each.takes, "metric"))
    return Intent(TOLD, text)


@pytest.mark.parametrize("work", CALCULATIONS)
def test_every_computation_is_worked_out_beside_a_job_as_by_its_command(talk: Talk, work: str) -> None:
    calculation, one = CALCULATIONS[work], SUMS.catalogue.sums[work]
    state = after(talk.state, decide(talk.state, Intent("work-out", option=work), AT, SUMS))
    for _ in range(12):
        if question(state).waiting is not Waiting.ASIDE:
            break
        name, _, part = state.aside[-1].wanted.partition(":")
        text = OTHER.get((work, name)) or calculation.example.get(name) or inputs_of(calculation)[name].default or ""
        events = decide(state, answer_to(inputs_of(calculation)[name], one.asks[name], part, text), AT, SUMS)
        state = after(state, events)
        assert not [event for event in events if isinstance(event, e.Refused)], events
    else:
        pytest.fail("it does not end")
    told = [event for event in events if isinstance(event, e.WorkedOut)] if state.events > talk.state.events + 1 else []
    last = told[-1] if told else decide(talk.state, Intent("work-out", option=work), AT, SUMS)[-1]
    assert isinstance(last, e.WorkedOut)
    assert last.say.endswith(spoken(work_out(work, joined(one, last.given), SUMS.tables, "metric")))
    assert job_of(state) == job_of(talk.state)


def test_every_question_beside_a_job_can_be_written_and_read() -> None:
    for name, asked in questions(SUMS.catalogue):
        assert e.decode(*e.encode(asked)) == asked, name


def test_who_is_not_understood_there_hears_no_list_of_a_dozen(talk: Talk) -> None:
    talk.say("work something out / the grass is green over there")
    assert talk.said == f"I did not get that. To hear what there is, say: what can I say. {LEAVE}"
