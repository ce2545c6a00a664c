"""Any computation by name: its tables stay with the job, choices and days are inputs, and what is read decides."""

from __future__ import annotations

import pytest

from assistant.core.compute.work_out import work_out
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.findings import findings
from assistant.core.job.state import fold
from assistant.core.job.wording import spoken
from assistant.core.job.worked import rests_on
from assistant.core.reply.summary import summarise
from assistant.core.reply.topics import answer_topic
from tests.core.job.small_jobs import AT, BATTERY, PADS, Doing, car, job
from tests.published import TABLES

JOB = job(BATTERY)


@pytest.mark.parametrize(("sort", "kind"), [("flooded", "flooded"), ("agm", "AGM")])
def test_what_a_table_and_a_choice_give_is_what_is_given_to_a_person(sort: str, kind: str) -> None:
    doing = Doing(JOB, car()).mean("option", sort).read("12.4 V")
    given = work_out("battery-by-voltage", {"voltage": "12.4 V", "kind": kind}, TABLES)
    assert known.value(doing.state, "charge") == given.value


def test_the_tables_stay_with_the_job() -> None:
    assert [*JOB.tables] == ["battery-states"]
    opened = e.JobOpened(JOB, car())
    again = e.decode(*e.encode(opened))
    assert again == opened
    state = fold([e.Recorded("job", 1, AT, again), e.Recorded("job", 2, AT, e.ChoiceMade("sort", "flooded"))])
    with pytest.raises(known.Missing) as missing:
        known.value(state, "charge")
    assert missing.value.name in ("charge", "rest-voltage")


def test_what_is_worked_out_grades_the_finding_of_a_step() -> None:
    low, high = (Doing(JOB, car()).mean("option", "flooded").read(volts) for volts in ("12.0 V", "12.7 V"))
    assert "Charge it first." in low.said and "Charge it first." not in high.said
    assert [found.grade for found in findings(low.state)] == ["soon"]
    assert [found.grade for found in findings(high.state)] == ["good"]


def test_a_day_is_worked_out_and_spoken() -> None:
    doing = Doing(JOB, car()).mean("option", "flooded").read("12.7 V")
    assert "Look again on the fourteenth of September twenty twenty-six." in doing.said
    assert dict(summarise(doing.state, AT).lines)["again on"].startswith("the fourteenth of September")


def test_where_a_number_is_from_is_told_of_any_computation() -> None:
    doing = Doing(JOB, car()).mean("option", "flooded").read("12.7 V")
    said = answer_topic(doing.state, "source", lambda state: "")
    assert said and "Nobody" not in said and not any(sign.isdigit() for sign in said)


def test_what_is_missing_is_said_in_words() -> None:
    state = Doing(JOB, car()).state
    assert spoken(state, "It holds {charge}.") == "It holds the charge."


def test_what_a_value_rests_on_is_found_through_others() -> None:
    assert rests_on(JOB, "charge") == ("rest-voltage", "sort")
    assert rests_on(job(PADS), "thinnest") == ("pad-left", "pad-right")
