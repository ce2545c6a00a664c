"""Several fluids in one job, each by its own name: how much is in, what lets it run out, and what needs it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.question import Waiting, question
from assistant.core.quantities.units import Level, amount
from assistant.core.reply.summary import finish, summarise
from assistant.core.reply.topics import what_is_open
from tests.core.job.small_jobs import AT, TWO_FLUIDS, Doing, car, job

JOB = job(TWO_FLUIDS)
CAR = car(coolant_capacity="6 L", coolant_least="5 L", brake_capacity="0.8 L", brake_span="0.2 L")
LOW, GOOD, FAR_LOW = (Level(Decimal(low), Decimal(high), said) for low, high, said in (
    ("0", "0.25", "near low"), ("0.625", "0.875", "three quarters"), ("-0.5", "-0.1", "below low")))  # fmt: skip


def read(level: Level) -> Doing:
    return Doing(JOB, CAR).mean("value", value=level)


def test_a_level_gives_the_tag_of_its_own_fluid() -> None:
    doing = read(LOW)
    assert "brake:low" in known.tags(doing.state)
    assert "More brake fluid is needed." in doing.said
    assert "brake:ok" in known.tags(read(GOOD).state)


def test_what_runs_out_is_one_fluid_and_leaves_the_other() -> None:
    doing = read(LOW).mean("next")
    assert doing.facts[1] == e.Drained("coolant")
    assert doing.state.drained == {"coolant"}
    assert doing.state.level("brake") == LOW
    assert what_is_open(doing.state) == "Nothing is open. The coolant is drained."


def test_each_fluid_is_filled_by_its_own_amounts() -> None:
    doing = read(LOW).mean("next").read("4 L")
    assert "It is too little coolant." in doing.said
    doing.read("3 L")
    assert "too much coolant" in doing.said and "Draw off: one litre" in doing.said
    doing.read("1 L")
    assert doing.state.step == "top-up"
    assert "Pour in: zero point one five litres" in doing.said  # 0.75 of the 0.2 L between the marks
    doing.read("0.15 L")
    assert doing.state.step == "run"
    assert known.poured(doing.state, "coolant") == amount("6 L")
    assert known.poured(doing.state, "brake") == amount("0.15 L")


def test_a_fluid_holds_back_what_needs_it_and_nothing_else() -> None:
    doing = Doing(JOB, CAR).mean("value", value=FAR_LOW).mean("next").read("5 L")
    doing.state = _at(doing.state, "run")
    assert question(doing.state).waiting is Waiting.NEXT  # coolant is in, and only that is needed to run
    doing.state = _at(doing.state, "drive")
    assert question(doing.state).waiting is Waiting.BLOCKED
    assert "The car must stay as it is. There is too little brake fluid in it." in doing.mean("next").said


def test_a_part_of_the_coolant_is_too_little_to_run() -> None:
    doing = read(GOOD).mean("next").read("4 L")
    doing.state = _at(doing.state, "run")
    assert "The engine must not run yet. There is too little coolant in it." in doing.mean("next").said


def _at(state, step):  # type: ignore[no-untyped-def]
    from assistant.core.job.state import evolve

    return evolve(state, e.StepEntered(step), AT)


def test_the_report_tells_of_each_fluid() -> None:
    doing = read(GOOD).mean("next").read("5.5 L").mean("next").mean("next")
    lines = dict(summarise(doing.state, AT).lines)
    assert lines["coolant poured, of capacity"] == "5.5 L of 6 L"
    assert lines["final level, brake fluid"] == "three quarters"
    assert finish(doing.state).endswith("Coolant poured in: five point five litres.")


@pytest.mark.parametrize(
    ("written", "instead", "why"),
    [
        ("of: coolant, adds", "adds", "as `of`"),
        ("of: brake, ask", "of: gearbox, ask", "the fluid 'gearbox'"),
        ("drains: coolant", "drains: water", "the fluid 'water'"),
        ("room: brake-room, ", "", "`span` and `room`"),
        ("of: brake, adds: true, fills: mark", "of: coolant, adds: true, fills: mark", "of a fluid with marks"),
    ],
)
def test_a_fluid_that_is_not_there_is_refused(written: str, instead: str, why: str) -> None:
    assert written in TWO_FLUIDS
    with pytest.raises(ValueError, match=why):
        job(TWO_FLUIDS.replace(written, instead))


def test_where_there_is_one_fluid_a_file_need_not_name_it() -> None:
    one = job("""
        id: one
        title: One (invented)
        about: One.
        values: {whole: {kind: volume, name: it, find: Look., least: 1 L, most: 9 L}}
        fluids: {water: {name: water, capacity: whole, least: whole, first: whole}}
        steps:
          - {id: out, title: Out, where: bay, say: Out., why: So., drains: true}
          - {id: in, title: In, where: bay, say: In., why: So.,
             reading: {name: in, kind: volume, adds: true, ask: Much}}
        """)
    assert one.steps[0].drains == "water"
    assert one.steps[1].reading and one.steps[1].reading.of == "water"
