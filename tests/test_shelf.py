"""Jobs that are taken up: older ones, damaged ones, ones that another run holds; and one that is followed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from assistant import wiring
from assistant.adapters.journal_sqlite import SqliteJournal, tables
from assistant.adapters.library import Library
from assistant.core.errors import Busy, DataError
from assistant.core.job import events as e
from assistant.core.types import Intent
from assistant.path.turn import meant
from assistant.shelf import follow, offered, take_up
from tests.old_jobs import rows
from tests.talk import EVIDENCE, READY, Talk

OLD_EVIDENCE = "on concrete / the brake light is on / both back wheels / two / one tonne / it stood firm"
OLD_REST = """confirm going under the car / next step / next step / next step / next step / @600 / next step
the plug is hand tight / thirty newton metres / confirm drain plug / the tray is back on / the new element is in
twenty five newton metres / confirm filter cap / three point five litres / the filler cap is tight / confirm filler cap
the drain pan is out / the car is on the ground / outdoors / all clear there / confirm starting the engine
the oil lamp went out / @60 / next step / the engine is off / @300 / next step / three quarters / completely dry
next step / next step""".replace("\n", " / ")


def taken_up(talk: Talk, name: str, notes: list[str]) -> str:
    """Take a job up at the desk, and return what is said."""
    job = take_up(talk.journal, name, talk.clock, notes.append)
    talk.desk = wiring.desk(job, talk.journal, talk.clock, talk.library)
    talk.desk.ears.phrasebook = talk.phrasebook
    return meant(talk.desk, Intent("go-on")).reply.say


def test_a_job_of_an_older_version_goes_on_to_its_end_by_its_own_text(talk: Talk) -> None:
    """It stood at the drain plug, under a car that may have been let down meanwhile: everything is shown anew."""
    with closing(tables.connect(Path(talk.journal.where))) as base:
        tables.put(base, rows("before-conditions-unfinished", place=10_000))
    said = taken_up(talk, "old", [])
    assert "Jack the front at the maker's lifting points." in said  # as it was put then
    talk.say("next step")
    assert talk.waiting == "evidence:under-car/ground"
    talk.say(OLD_EVIDENCE)
    assert talk.waiting == "confirm:going under the car"
    talk.say(OLD_REST)
    assert talk.state.finished_at
    assert talk.state.ledger.parts == ()
    assert talk.replayed() == talk.state


def test_a_job_keeps_the_text_that_it_began_with(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    talk.say(READY)
    step, text = talk.state.step, talk.state.here.say
    job = talk.library.job("oil-and-filter")
    steps = tuple(one.model_copy(update={"say": "Something else."}) for one in job.steps)
    changed = job.model_copy(update={"steps": steps, "title": "Another"})
    monkeypatch.setattr(Library, "job", lambda shelf, name: changed)
    taken_up(talk, talk.desk.job, [])
    found = take_up(talk.journal, talk.desk.job, talk.clock).state
    assert (found.step, found.procedure.step(step).say, found.procedure.title) == (step, text, job.title)
    talk.begin(talk.library.vehicle("tarnwick-plover-16"))
    assert talk.state.here.say == "Something else."


def test_a_job_that_lost_its_end_goes_on_from_the_rest_and_says_so(talk: Talk) -> None:
    talk.say(f"{READY} / {EVIDENCE}")
    before = talk.facts()
    with closing(sqlite3.connect(talk.journal.where, isolation_level=None)) as base:
        base.execute("delete from facts where number > ?", (len(before) - 2,))
    again(talk)
    notes: list[str] = []
    said = taken_up(talk, talk.desk.job, notes)
    assert said.startswith("My record of this job is damaged. Of its end I lost two facts.")
    [note] = notes
    assert f"fact {len(before) - 1} of the job {talk.desk.job}: the end of the job is missing" in note
    assert talk.facts()[: len(before) - 2] == before[:-2]
    assert isinstance(talk.facts()[len(before) - 2], e.TailLost)
    assert (talk.state.gates, talk.waiting) == ((), "condition:engine-running")
    assert "damaged" not in taken_up(talk, talk.desk.job, [])  # it is told once


def again(talk: Talk) -> None:
    """Open the journal anew, as another run of the program would."""
    talk.journal.close()
    talk.journal = SqliteJournal(Path(talk.journal.where))


def test_facts_that_do_not_follow_end_what_is_believed_and_the_rest_goes_on(talk: Talk) -> None:
    """Two runs on one journal once wrote one behind the other."""
    talk.say(READY)
    step, count = talk.state.step, len(talk.facts())
    talk.journal.append(talk.desk.job, (e.StepReopened("a step of the other"), e.Asked("why")), talk.clock.now())
    assert [job.name for job in offered(talk.journal)] == [talk.desk.job]
    notes: list[str] = []
    taken_up(talk, talk.desk.job, notes)
    assert f"fact {count + 1} of the job {talk.desk.job}: it does not follow" in notes[0]
    assert talk.state.step == step
    assert talk.replayed() == talk.state


def test_a_job_without_its_beginning_can_not_be_taken_up(talk: Talk) -> None:
    with closing(sqlite3.connect(talk.journal.where, isolation_level=None)) as base:
        base.execute("update facts set body = replace(body, '30 N', '80 N') where number = 1")
        base.execute("update firsts set body = replace(body, '30 N', '80 N')")
    again(talk)
    with pytest.raises(DataError, match=r"fact 1 of the job .* checksum does not fit.*Begin it anew"):
        take_up(talk.journal, talk.desk.job, talk.clock)


def test_a_job_that_another_run_has_open_is_refused(talk: Talk) -> None:
    other = SqliteJournal(Path(talk.journal.where))
    with pytest.raises(Busy, match=f"assistant journal --job {talk.desk.job} --follow"):
        take_up(other, talk.desk.job, talk.clock)
    other.close()


def test_two_jobs_begun_in_the_same_second_are_two(talk: Talk) -> None:
    other = SqliteJournal(Path(talk.journal.where))
    first = talk.desk.job
    begun, _ = wiring.new_job(other, talk.library.job("oil-and-filter"), talk.state.vehicle, talk.clock)
    assert begun.name != first
    talk.say("next step")
    other.append(begun.name, (e.Asked("why"),), talk.clock.now())
    assert talk.journal.damage(first) is other.damage(begun.name) is None
    other.close()


def test_a_job_is_followed_until_it_is_finished(talk: Talk) -> None:
    reader = SqliteJournal(Path(talk.journal.where), only_read=True)
    name, count = talk.desk.job, len(talk.facts())
    turns: Iterator[tuple[e.Event, ...]] = iter(
        [(e.Asked("why"),), (e.Asked("open"), e.JobFinished()), (e.Asked("no"),)]
    )
    shown = follow(reader, name, lambda: talk.journal.append(name, next(turns), talk.clock.now()) and None)
    assert [row.number for row in shown] == list(range(1, count + 4))
    reader.close()
