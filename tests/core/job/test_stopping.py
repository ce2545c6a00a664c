"""A job may be stopped for a reason: the car is made safe to leave first, and what is open stays open in the record."""

from __future__ import annotations

import pytest

from assistant.core.job import events as e
from assistant.core.job.moving import Draft
from assistant.core.job.question import Waiting, question
from assistant.core.job.stopping import stop
from assistant.core.quantities.units import amount
from assistant.core.reply.reminder import next_time
from assistant.core.reply.showing import report_lines
from assistant.core.reply.summary import summarise
from tests.in_short import AT, HEAD, LOWER, RAISE, Way, job

pytestmark = pytest.mark.pure
JOB = job(f"""{HEAD}
parts: [{{id: wheel, name: the wheel, blocks: [driving]}}]
safe_ends:
  - id: stands
    name: leaving it on the stands
    say: Leave it on its stands.
    holds: [on-stands, brake-on]
    never: [engine-running]
steps:
{RAISE}
  - {{id: wheel-off, title: Wheel off, where: beside, say: Take the wheel off., why: To see., opens: [wheel]}}
  - id: disc
    title: Look at the disc
    where: arch
    say: Look at the disc.
    why: It may be cracked.
    needs: [place, wheel-arch]
    choice:
      name: disc
      ask: "What do you see: nothing, or a crack?"
      options:
        - {{id: none, says: [nothing at all], show: no crack}}
        - {{id: crack, says: [I see a crack], show: a crack, refuse: A cracked disc can break., stop: stands}}
  - {{id: wheel-on, title: Wheel on, where: beside, say: Put it on., why: To drive., closes: [wheel]}}
{LOWER}
""")
AT_DISC = ("option:concrete", "confirm", "next", "next", "option:firm", "confirm")


def at_disc() -> Way:
    way = Way(JOB)
    way.do(*AT_DISC)
    assert way.waiting == "choice:disc"
    return way


def test_the_reason_is_said_and_the_person_told_to_come_out_first() -> None:
    way = at_disc()
    said = way.do("option:crack")
    assert said.startswith("A cracked disc can break. Leave it on its stands.")
    assert said.endswith("Take your arms out of the wheel arch. Then say: I am out.")
    assert way.do("confirm").startswith("There is nothing to confirm")
    assert not way.state.finished_at
    assert way.do("out").endswith("Say: confirm leaving it on the stands.")


def test_it_ends_stopped_once_it_is_confirmed_and_says_what_stays_open() -> None:
    way = at_disc()
    said = way.do("option:crack", "out", "confirm")
    assert said == "The job is stopped: leaving it on the stands. Still open: the wheel. It is kept in the report."
    assert way.state.stopped == e.JobStopped("stands", "A cracked disc can break.")
    assert question(way.state).waiting is Waiting.FINISHED
    assert way.state.ledger.parts == ("wheel",)
    assert way.do("next") == "This job is stopped."
    assert way.do("open") == "Open: wheel."
    assert way.again().stopped == way.state.stopped


def test_the_report_tells_it_as_stopped_and_nothing_is_due_again() -> None:
    way = at_disc()
    way.do("option:crack", "out", "confirm")
    lines = dict(summarise(way.state, way.at).lines)
    assert lines["stopped"] == "leaving it on the stands: A cracked disc can break."
    assert lines["still open"] == "the wheel"
    assert any("JobStopped end=stands" in line for line in report_lines(way.rows, way.state, way.at))
    assert next_time(way.state, AT) is None


def test_what_the_end_needs_is_asked_for_before_it_is_confirmed() -> None:
    way = at_disc()
    way.do("option:crack", "danger")
    assert way.waiting == "out:arch"
    assert "Set it down on both stands." in way.do("out")
    assert "Pull the parking brake." in way.do("condition:on-stands:holds")
    assert way.do("confirm").startswith("There is nothing to confirm")
    assert way.do("condition:engine-running:holds").startswith("Noted. The engine is running.")
    assert "Switch the engine off." in way.said
    way.do("condition:engine-running:over", "condition:brake-on:holds")
    assert way.waiting == "confirm:leaving it on the stands"


@pytest.mark.parametrize("words", ["undo", "back"])
@pytest.mark.parametrize("before", [(), ("out",)])
def test_until_then_it_is_taken_back_and_the_question_stands_again(words: str, before: tuple[str, ...]) -> None:
    way = at_disc()
    said = way.do("option:crack", *before, words)
    assert said.startswith("Taken back: leaving it on the stands.")
    assert said.endswith("What do you see: nothing, or a crack?")
    assert way.waiting == "choice:disc"
    assert not way.state.out  # somebody is looked after there again
    assert way.do("option:none").startswith("No crack.")


def test_a_denial_where_it_is_confirmed_stops_nothing() -> None:
    way = at_disc()
    way.do("option:crack", "out", "denied")
    assert way.waiting == "choice:disc"
    assert not way.state.stopped


@pytest.mark.parametrize("words", ["next", "skip", "claim", "value=3 L", "option:none", "wrong:nothing"])
def test_nothing_else_leads_on(words: str) -> None:
    way = at_disc()
    before = way.waiting
    way.do("option:crack", "out")
    assert "The job can't go on from here" in way.do(words)
    assert before != way.waiting == "confirm:leaving it on the stands"


def test_another_name_confirms_nothing() -> None:
    way = at_disc()
    assert way.do("option:crack", "out", "confirm:the wheel").startswith("Not the wheel.")
    assert not way.state.finished_at


def test_put_aside_and_taken_up_it_still_waits_to_be_stopped() -> None:
    way = at_disc()
    way.do("option:crack", "out", "park", "go-on")
    assert way.waiting == "out:arch"  # nobody knows where they are meanwhile
    way.do("out")
    assert way.again() == way.state
    way.do("confirm")
    assert way.state.stopped


@pytest.mark.parametrize("words", ["undo", "back", "denied"])
def test_a_reading_that_stopped_the_job_is_taken_back_with_it(words: str) -> None:
    way = at_disc()
    draft = Draft(way.state, way.at)
    draft.add(e.ReadingTaken("disc", "thickness", amount("4 mm")))
    stop(draft, "stands", "It is too thin.", reading="thickness")
    draft.add(e.CameOut())
    way.state = draft.state
    assert way.waiting == "confirm:leaving it on the stands"
    way.do(words)
    assert way.state.readings == ()
    assert way.state.said == at_disc().state.said
    assert way.waiting == "choice:disc"


PADS = job(f"""{HEAD}
safe_ends:
  - {{id: stands, name: leaving it on the stands, say: Leave it on its stands., holds: [on-stands]}}
steps:
{RAISE}
  - id: pads
    title: Measure the pads
    where: beside
    say: Measure the pads.
    why: Worn pads brake badly.
    reading:
      name: pads
      kind: length
      ask: How thick are they?
      least: 0 mm
      most: 20 mm
      bands:
        - {{id: stop, below: 2 mm, grade: stop, say: They are worn out., stop: stands}}
        - {{id: good, grade: good}}
{LOWER}
""")


def test_a_band_stops_the_job_as_an_answer_does() -> None:
    way = Way(PADS)
    way.do("option:concrete", "confirm", "next")
    said = way.do("value=1 mm")
    assert said.count("They are worn out.") == 1
    assert said.endswith("Leave it on its stands. Say: confirm leaving it on the stands.")
    assert way.do("undo").endswith("How thick are they?")
    assert way.state.readings == ()
    way.do("value=1 mm", "confirm")
    assert way.state.stopped == e.JobStopped("stands", "They are worn out.")
    assert way.again() == way.state


def test_a_good_reading_leads_on() -> None:
    way = Way(PADS)
    way.do("option:concrete", "confirm", "next", "value=1 mm", "undo", "value=9 mm")
    assert way.state.step == "lower"
