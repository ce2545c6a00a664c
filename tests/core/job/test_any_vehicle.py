"""Any vehicle, built any way, with any of its values and notes missing, in each system of units: every job comes to
its end. All vehicles are invented by chance within what the jobs allow."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from assistant.adapters.library import Library
from assistant.core.car_talk.wanted import readiness
from assistant.core.data.procedure import Procedure, Wanted
from assistant.core.data.vehicle import Note, Spec, System, Vehicle
from assistant.core.errors import ReadingError
from assistant.core.job.vehicle_values import check_all, check_vehicle, check_wanted
from assistant.core.quantities.owner_units import owner_unit
from assistant.core.quantities.units import Amount, Kind, convert
from tests.straight import sound, straight_on

SHELF = Library()
TABLES = SHELF.tables()
NOTES = st.sampled_from(["five W thirty", "a 17 mm socket", " ", "x"])


def amounts(wanted: Wanted, system: System) -> st.SearchStrategy[Amount]:
    """Return amounts that can be right, in the owner's unit, some of them at the very edge."""
    unit = owner_unit(wanted.kind, system)
    least, most = (convert(bound, unit).magnitude for bound in (wanted.least, wanted.most))
    share = st.one_of(st.sampled_from([Decimal(0), Decimal(1)]), st.decimals(0, 1, places=3))
    places = 0 if wanted.kind is Kind.COUNT else 2
    return share.map(lambda part: Amount(round(least + (most - least) * part, places), unit, wanted.kind))


def can_be(wanted: Wanted, value: Amount) -> bool:
    try:
        check_wanted(value, wanted)
    except ReadingError:
        return False
    return True


@st.composite
def vehicles(draw: st.DrawFn, job: Procedure, system: System) -> tuple[Vehicle, dict[str, Amount]]:
    """Draw a vehicle with holes, and what its owner answers where it is asked."""
    every = {name: draw(amounts(wanted, system).filter(lambda value, wanted=wanted: can_be(wanted, value)))
             for name, wanted in job.values.items()}  # fmt: skip
    built = filter(None, (draw(st.sampled_from(group.options)).tag for group in job.groups))
    tags = {*built, *(tag for fit in job.fits for tag in fit.has)}
    known = draw(st.sets(st.sampled_from(sorted(every)))) if every else set()
    noted = draw(st.sets(st.sampled_from(sorted(job.notes)))) if job.notes else set()
    car = Vehicle(
        id="any", title="Any car", about="", units=system, tags=tuple(sorted(tags)),
        values={name: Spec(value=every[name], source="by chance") for name in sorted(known)},
        notes={name: Note(say=draw(NOTES), source="by chance") for name in sorted(noted)},
    )  # fmt: skip
    return car, every


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("job", SHELF.jobs(), ids=lambda job: job.id)
@settings(max_examples=5)
@given(data=st.data())
def test_every_job_comes_to_its_end(job: Procedure, system: System, data: st.DataObject) -> None:
    car, every = data.draw(vehicles(job, system))
    whole = car.model_copy(update={"values": {name: Spec(value=one, source="told") for name, one in every.items()}})
    try:
        check_all(job, whole, {})
    except ReadingError:
        assume(False)  # an owner whose answers contradict each other is asked on and on
    check_vehicle(job, car, TABLES)
    ready = readiness(job, car, {}, TABLES)
    assert not ready.fault
    asked: set[str] = set()
    for state, said in straight_on(job, car, every):
        sound(state, said)
        asked |= set(state.told)
    assert state.finished_at
    assert asked <= set(ready.values), "what was told to be missing is all that is asked for"
