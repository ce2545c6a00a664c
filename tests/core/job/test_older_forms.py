"""Facts in older forms, as older versions of the program wrote them, are read by today's."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import reduce

import pytest

from assistant.core.compute.oil import drain_pan, fill, level
from assistant.core.compute.raising.lifting import stand_rating
from assistant.core.errors import DataError
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide
from assistant.core.job.older_forms import FORM, lift
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve, fold
from assistant.core.job.wording import spoken
from assistant.core.quantities.units import Level, amount
from assistant.core.reply.answers import answer
from assistant.core.types import Intent
from tests.core.job.forms import FILE, broken, shape
from tests.old_jobs import SAMPLES, lines, recorded

pytestmark = pytest.mark.pure
AT = datetime(2026, 3, 14, 12, tzinfo=UTC)
FOLDED = {
    "before-checksums-finished": ("record", True, (), ("drain-plug", "filter-cap")),
    "before-conditions-finished": ("record", True, (), ("drain-plug", "filter-cap")),
    "before-conditions-unfinished": ("plug-in", False, ("undertray", "filler-cap", "filter-cap", "drain-plug"), ()),
    "before-safe-ends-unfinished": ("drain", False, ("undertray", "filler-cap", "filter-cap", "drain-plug"), ()),
    "with-asking-again-unfinished": ("raise", False, (), ()),
    "with-fasteners-unfinished": ("nuts-on", False, ("nuts",), ("bolt",)),
    "with-safe-ends-stopped": ("disc", True, ("wheel",), ()),
    "with-conditions-unfinished": ("tray-off", False, (), ()),
    "one-fluid-unfinished": ("top-up", False, (), ("drain-plug", "filter-cap")),
}
"""Where each sample leads: its step, whether it is finished, what is open, what was tightened."""


def test_every_sample_is_compared() -> None:
    assert set(SAMPLES) == set(FOLDED)


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_job_of_an_older_form_leads_to_the_same_state(sample: str) -> None:
    state = fold(recorded(sample))
    found = (state.step, state.finished_at is not None, state.ledger.parts, tuple(sorted(state.torques)))
    assert found == FOLDED[sample]


@pytest.mark.parametrize("sample", SAMPLES)
def test_a_lifted_fact_is_written_and_read_as_any_of_today(sample: str) -> None:
    for row in recorded(sample):
        assert e.decode(*e.encode(row.event)) == row.event


@pytest.mark.parametrize("sample", [name for name, (_, finished, *_) in FOLDED.items() if not finished])
def test_a_job_of_an_older_form_goes_on(sample: str) -> None:
    state = fold(recorded(sample))
    later = (state.heard_at or state.opened_at) + timedelta(hours=1)
    state = _after(state, moment(state, later, None), later)
    assert not state.timers
    for name in ("park", "go-on", "back", "where", "time"):
        events = decide(state, Intent(name), later)
        before, state = state, _after(state, events, later)
        assert answer(before, events, state).say
        assert all(e.decode(*e.encode(event)) == event for event in events)


def _after(state: State, events: tuple[e.Event, ...], at: datetime) -> State:
    return reduce(lambda known, event: evolve(known, event, at), events, state)


def test_what_the_car_did_becomes_conditions() -> None:
    changes = [line for line in lines("before-conditions-finished") if line["kind"] == "CarChanged"]
    found = [e.decode(line["kind"], line["body"], 1) for line in changes]
    assert found == [
        e.ConditionChanged("raised", True), e.Drained("oil"), e.ConditionChanged("raised", False),
        e.ConditionChanged("engine-running", True), e.ConditionChanged("engine-running", False),
    ]  # fmt: skip


def test_a_lifted_procedure_asks_for_no_less_than_the_code_did_then() -> None:
    opened = recorded("before-conditions-unfinished")[0].event
    assert isinstance(opened, e.JobOpened)
    job = opened.procedure
    under = next(rule for rule in job.exposure if rule.where)
    assert (under.holds, under.never) == (("raised",), ("engine-running",))
    assert job.step("raise-stands").sets == ("raised",)
    assert job.step("lower-stands").ends == ("raised",)
    assert job.step("plug-out").drains == "oil"
    assert [part.id for part in job.parts if part.blocks] == ["filler-cap", "filter-cap", "filter", "drain-plug"]
    assert set(job.gate("under-car").falls_on) == {"raising", "lowering", "engine-running:over", "interrupted"}


def test_a_job_of_one_fluid_knows_how_much_is_in_and_goes_on() -> None:
    state = fold(recorded("one-fluid-unfinished"))
    assert [*state.procedure.fluids] == ["oil"] and state.drained == {"oil"}
    assert known.poured(state, "oil") == amount("3.5 L")
    assert {"oil:low", "leak:none"} <= known.tags(state)
    assert question(state).about == "topped-up"
    assert known.value(state, "top-up") == amount("0.7 L")  # 1 L between the marks, read as near low: 0 to 0.25
    assert spoken(state, "{next-distance}, {next-date}") == (
        "ninety-nine thousand two hundred kilometres, the fourteenth of March twenty twenty-seven"
    )
    poured = decide(state, Intent("value", value=amount("0.7 L")), AT)
    assert e.ReadingTaken("top-up", "topped-up", amount("0.7 L"), adds=True, of="oil") in poured
    assert e.StepEntered("top-up-close") in poured


def test_a_job_of_one_fluid_works_out_what_the_code_did_then() -> None:
    """Each value as the functions give it that the code of that time called by name."""
    state = fold(recorded("one-fluid-unfinished"))
    capacity, span, reading = amount("4.3 L"), amount("1.0 L"), Level(Decimal(0), Decimal("0.25"), "near low")
    jug = amount("0.1 L")
    assert known.value(state, "first-fill") == fill.first_fill(capacity, span, jug).value
    assert known.value(state, "safe-minimum") == fill.safe_minimum(capacity, span).value
    assert known.value(state, "top-up") == level.top_up(reading, span, jug).value
    assert known.value(state, "draw-off") == level.draw_off(reading, span).value
    assert known.value(state, "pan-size") == drain_pan.least_size(capacity).value
    assert known.value(state, "stand-rating") == stand_rating(state.vehicle.values["mass"].value).value


def test_the_text_of_an_older_job_is_the_one_that_it_began_with() -> None:
    opened = recorded("before-conditions-unfinished")[0].event
    assert isinstance(opened, e.JobOpened)
    written = json.loads(lines("before-conditions-unfinished")[0]["body"])["procedure"]
    assert [(step.id, step.say) for step in opened.procedure.steps] == [
        (step["id"], step["say"]) for step in written["steps"]
    ]


def test_unknown_fields_are_passed_over_wherever_they_are() -> None:
    body = json.loads(lines("before-checksums-finished")[0]["body"])
    plain = e.decode("JobOpened", json.dumps(body), 1)
    body["procedure"]["steps"][3]["smell"] = "oil"
    body["vehicle"]["values"]["mass"]["colour"] = "red"
    body["vehicle"]["wheels"] = 4
    body["mood"] = "good"
    assert e.decode("JobOpened", json.dumps(body), 1) == plain
    assert e.decode("StepDone", '{"step":"drain","smell":"oil"}') == e.StepDone("drain")


@pytest.mark.parametrize("body", ["{}", "[]", "not json", '{"what":"painted"}', '{"procedure":7}', '{"procedure":{}}'])
@pytest.mark.parametrize("kind", ["CarChanged", "JobOpened"])
def test_what_can_not_be_lifted_is_an_error_of_the_data(kind: str, body: str) -> None:
    with pytest.raises(DataError):
        e.decode(kind, body, 1)


def test_a_newer_form_is_not_guessed_at() -> None:
    with pytest.raises(DataError, match="newer program"):
        e.decode("StepDone", '{"step":"drain"}', FORM + 1)


def test_what_has_today_s_form_is_left_alone() -> None:
    assert lift("StepDone", '{"step": "drain"}', 1) == ("StepDone", '{"step": "drain"}')


def test_who_changes_the_facts_raises_their_form() -> None:
    """New kinds, and new fields that may be missing, need nothing: then `python -m tests.core.job.forms`."""
    before = json.loads(FILE.read_text(encoding="utf-8"))
    assert not list(broken(before, shape())), "raise FORM, lift what was written before, and keep a sample of it"


@pytest.mark.parametrize(
    ("part", "change", "complaint"),
    [
        ("StepDone", {"needs": ["step", "why"]}, "StepDone needs why"),
        ("StepDone", {"fields": {}}, "StepDone has no step any more"),
        ("StepDone", {"fields": {"step": {"type": "integer"}}}, "step of StepDone is another"),
        ("Parked", None, "Parked is gone"),
    ],
)
def test_a_change_of_the_facts_is_noticed(part: str, change: dict[str, object] | None, complaint: str) -> None:
    now = shape()
    changed = {**now, part: {**now[part], **(change or {})}}
    if change is None:
        del changed[part]
    assert list(broken(now, changed)) == [complaint]
