"""What is read off lies in bands, is worked out further, and becomes findings with a verdict."""

from __future__ import annotations

import pytest

from assistant.core.errors import DataError, ReadingError
from assistant.core.job import events as e
from assistant.core.job import known, worked
from assistant.core.job import vehicle_values as checks
from assistant.core.job.findings import Found, findings, verdict, worst
from assistant.core.job.question import question
from assistant.core.quantities.units import amount
from assistant.core.reply.summary import finish, summarise
from assistant.shelf import new_job
from tests.core.job.small_jobs import AT, PADS, Doing, car, job
from tests.talk import Talk

JOB = job(PADS)


def pads(*read: str, **values: str) -> Doing:
    return Doing(JOB, car(nuts="4 ×", **{"pad_least": "2 mm", **values})).read(*read)


@pytest.mark.parametrize(
    ("read", "band"),
    [("1.99 mm", "stop"), ("2 mm", "soon"), ("2.99 mm", "soon"), ("3 mm", "good"), ("0 mm", "stop"), ("15 mm", "good")],
)
def test_a_reading_lies_in_the_first_band_that_fits(read: str, band: str) -> None:
    tags = known.tags(pads(read).state)
    assert [tag for tag in tags if tag.startswith("pad-left:")] == [f"pad-left:{band}"]


def test_a_band_says_what_it_means_after_the_reading() -> None:
    doing = pads("1.5 mm")
    assert doing.said.startswith("I heard one point five millimetres. That is below its least.")


@pytest.mark.parametrize("read", ["16 mm", "2 cm"])
def test_what_is_beyond_its_limits_is_asked_again(read: str) -> None:
    doing = pads(read)
    assert "Allowed: zero millimetres to fifteen, millimetres" in doing.said
    assert question(doing.state).about == "pad-left"
    assert doing.state.readings == ()


def test_what_is_worked_out_has_bands_too() -> None:
    doing = pads("8 mm", "5 mm")
    assert "They wear unevenly, by three millimetres." in doing.said
    assert "apart:uneven" in known.tags(doing.state)
    assert "apart:even" in known.tags(pads("8 mm", "7 mm").state)
    assert not any(tag.startswith("apart:") for tag in known.tags(pads("8 mm").state))


def test_a_tag_of_a_band_leads_the_way() -> None:
    assert pads("1 mm", "5 mm").state.step == "renew"
    assert pads("4 mm", "5 mm").state.step == "look"


def test_findings_come_with_their_grade_and_the_verdict_is_the_worst() -> None:
    doing = pads("4 mm", "2.5 mm").mean("option", "cracked")
    assert findings(doing.state) == (
        Found("on the left", "brake pad", "good"),
        Found("on the right", "brake pad", "soon"),
        Found("on the left", "brake hose", "stop"),
    )
    assert worst(doing.state) == "stop"
    assert verdict(doing.state) == "do not drive: brake hose, on the left"
    doing.mean("undo").mean("option", "whole")
    assert verdict(doing.state) == "to be done soon: brake pad, on the right"


def test_the_verdict_is_spoken_and_in_the_report() -> None:
    doing = pads("4 mm", "4 mm").mean("option", "whole").read("4 ×").mean("confirm").mean("next")
    assert "The verdict: all is good." in doing.said
    doing.mean("next")
    lines = dict(summarise(doing.state, AT).lines)
    assert lines["brake hose, on the left"] == "good"
    assert (lines["verdict"], lines["pads apart"], lines["pad left"]) == ("all is good", "0 mm", "4 mm")
    assert finish(doing.state).endswith("The verdict: all is good. The thinnest pad has four millimetres.")


def test_a_number_may_have_to_be_met_exactly() -> None:
    doing = pads("4 mm", "4 mm").mean("option", "whole")
    assert question(doing.state).about == "wheel/nuts"
    assert "One is loose." in doing.read("3 ×").said
    assert "There are not so many." in doing.read("5 ×").said
    assert "Say: confirm wheel" in doing.read("4 ×").said.replace("the wheel", "wheel")


def test_a_value_that_is_needed_is_there_or_no_job_begins() -> None:
    with pytest.raises(DataError, match=r"values.nuts is missing.*Count them"):
        checks.check_needed(JOB, car(pad_least="2 mm"), {})
    checks.check_needed(JOB, car(nuts="4 ×"), {})


def unknown() -> Doing:
    return Doing(JOB, car(nuts="4 ×"))


def test_what_the_owner_does_not_know_is_a_fact_and_the_job_goes_on() -> None:
    doing = unknown()
    assert question(doing.state).about == "pad-least"
    doing.mean("unknown")
    assert doing.facts[0] == e.ValueUnknown("pad-least")
    assert doing.said.startswith("Then I judge them by eye alone.")
    assert question(doing.state).about == "pad-left"
    doing.read("1 mm")
    assert not any(tag.startswith("pad-left:") for tag in known.tags(doing.state))  # by no limit that nobody knows
    assert worst(doing.state) is None


def test_what_was_not_known_can_still_be_told() -> None:
    doing = unknown().mean("unknown").mean("undo")
    assert question(doing.state).about == "pad-least"
    doing.read("2 mm").mean("confirm").read("1 mm")
    assert "pad-left:stop" in known.tags(doing.state)
    again = unknown().mean("unknown").mean("wrong", "pad-least")
    assert question(again.state).about == "pad-least"


def test_who_does_not_know_a_value_that_is_needed_is_told_where_to_look() -> None:
    told = JOB.values["pad-least"].model_copy(update={"unknown": ""})
    doing = Doing(JOB.model_copy(update={"values": {**JOB.values, "pad-least": told}}), car(nuts="4 ×"))
    doing.mean("unknown")
    assert doing.said == "Look in the service manual. Then tell me."
    assert question(doing.state).about == "pad-least"
    assert "Then look" in pads().mean("unknown").said


@pytest.mark.parametrize(
    "words", ["I have no idea what it is", "that value is unknown", "I don't know", "I do not know that", "no idea"]
)
def test_who_does_not_know_says_so_in_words(talk: Talk, words: str) -> None:
    vehicle = talk.library.vehicle("tarnwick-plover-16")
    values = {name: spec for name, spec in vehicle.values.items() if name != "oil-capacity"}
    talk.begin(vehicle.model_copy(update={"values": values}))
    talk.say(f"eighty four thousand kilometres / {words}")
    assert talk.said == "Look in the service manual. Then tell me."
    assert talk.waiting == "value:oil-capacity"


def test_the_owner_is_told_that_a_value_may_be_unknown() -> None:
    assert unknown().said.endswith("Look in the service manual. Then tell me. Or say: that value is unknown.")


def test_no_job_begins_without_what_it_needs(talk: Talk) -> None:
    jobs = talk.journal.jobs()
    with pytest.raises(DataError, match="Count them"):
        new_job(talk.journal, JOB, car(pad_least="2 mm"), talk.clock, talk.library.tables())
    assert talk.journal.jobs() == jobs


def test_a_value_is_worked_out_once_until_something_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    doing, counted, work = pads("8 mm", "5 mm"), [], worked.work_out_of
    monkeypatch.setattr(worked, "work_out_of", lambda *given: counted.append(given[0]) or work(*given))
    doing.state.worked.clear()
    for _ in range(3):
        known.value(doing.state, "apart")
        doing.mean("repeat")
    assert counted.count("spread") == 1
    doing.mean("undo")
    with pytest.raises(known.Missing):
        known.value(doing.state, "apart")


def test_readings_that_a_computation_refuses_give_nothing() -> None:
    spread = '{work_out: spread, with: {readings: ["left: pad-left", "right: pad-right"]}, gives: least}'
    text = PADS.replace(spread, "{work_out: brake-pads, with: {thinnest: pad-left, least: 50 mm}}")
    doing = Doing(job(text), car(nuts="4 ×", pad_least="2 mm")).read("4 mm")
    with pytest.raises((known.Missing, ReadingError)):
        known.value(doing.state, "thinnest")
    assert known.value(doing.state, "pad-left") == amount("4 mm")
