"""What is wrong with what a job works out and measures: computed values, fluids, limits, bands and findings.

Found before it begins: names that nobody knows, computations that take no such input, circles, and values that safety
rests on and that an owner may not know.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.core.compute.base.calculation import Calculation, Form, Input
from assistant.core.compute.base.given import check_inputs
from assistant.core.compute.work_out import CALCULATIONS, calculation, work_out
from assistant.core.data.base import names_in
from assistant.core.data.measured import Band, Bound, Computed, Fluid
from assistant.core.data.procedure import Procedure
from assistant.core.data.short_form.places import Place
from assistant.core.data.step import Reading
from assistant.core.errors import ReadingError
from assistant.core.job.findings import VERDICT
from assistant.core.job.worked import GRADUATION, TODAY, choice_names, parts_of, reading_names, rests_on
from assistant.core.quantities.units import Amount, Kind, amount


def faults_of_computed(job: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield what is wrong with the values that a job works out, each with its place."""
    for name, computed in job.computed.items():
        for place, fault in _faults_of_one(job, name, computed):
            yield ("computed", name, *place), fault


def _faults_of_one(job: Procedure, name: str, computed: Computed) -> Iterator[tuple[Place, str]]:
    if name in (TODAY, GRADUATION, VERDICT) or name in job.values or name in reading_names(job):
        yield (), f"{name!r} is the name of something else already"
    try:
        chosen = calculation(computed.work_out)
    except ReadingError as error:
        yield ("work_out",), str(error)
        return
    if _in_circle(job, name):
        yield ("with",), "it is worked out from itself"
        return
    yield from _faults_of_inputs(job, chosen, computed)
    if missing := [table for table in chosen.tables if table not in job.tables]:
        yield ("work_out",), f"there is no table {missing[0]!r}, in which it looks things up"
    elif fault := _fault_of_gives(job, computed):
        yield ("gives",), fault
    for number, band in enumerate(computed.bands):
        yield from _faults_of_band(job, _band_kind(job, computed), ("bands", number), band)


def _band_kind(job: Procedure, computed: Computed) -> Kind | None:
    kind = _kind_of_computed(job, computed)
    return kind if isinstance(kind, Kind) else None


def _faults_of_inputs(job: Procedure, chosen: Calculation, computed: Computed) -> Iterator[tuple[Place, str]]:
    inputs = {each.name: each for each in chosen.inputs}
    for given, written in computed.inputs.items():
        if given not in inputs:
            yield ("with", given), f"{chosen.name} takes no {given!r}. It takes: {', '.join(inputs)}."
        elif fault := _fault_of_input(job, inputs[given], written):
            yield ("with", given), fault
    for each in chosen.inputs:
        if each.default is None and each.name not in computed.inputs:
            yield ("with",), f"{chosen.name} needs {each.name}: {each.means}"


def _in_circle(job: Procedure, name: str, above: tuple[str, ...] = ()) -> bool:
    if name in above:
        return True
    parts = (part for written in job.computed[name].inputs.values() for part in parts_of(written))
    return any(_in_circle(job, part, (*above, name)) for part in parts if part in job.computed)


def _fault_of_gives(job: Procedure, computed: Computed) -> str:
    """Return whether a computation gives a further value of that name, as its own example shows."""
    if not computed.gives:
        return ""
    more = dict(work_out(computed.work_out, CALCULATIONS[computed.work_out].example, job.tables).more)
    return "" if computed.gives in more else f"{computed.work_out} gives: {', '.join(more) or 'nothing more'}"


def _fault_of_input(job: Procedure, wanted: Input, written: str | tuple[str, ...]) -> str:
    """Return why an input can't be given so: a name of another kind, or a text that can't be read."""
    if isinstance(written, tuple):
        return "" if wanted.takes is Form.TEXT else f"a list is a text, and {wanted.name} takes a {wanted.takes}"
    kind = kind_of_name(job, written)
    if kind is None:
        return _fault_of_written(wanted, written)
    fits = wanted.takes in (kind, Form.TEXT) or (wanted.takes is Form.AMOUNT and isinstance(kind, Kind))
    return "" if fits else f"{written!r} is a {kind}, and {wanted.name} takes a {wanted.takes}"


def _fault_of_written(wanted: Input, written: str) -> str:
    single = type("One", (), {"inputs": (wanted,)})
    try:
        check_inputs(single, {wanted.name: written}, "metric")  # type: ignore[arg-type]
    except ReadingError as error:
        return f"{written!r} is no name in this job, and: {error}"
    return ""


def kind_of_name(job: Procedure, name: str) -> Kind | Form | None:
    """Return of what kind a named thing is; `Form.TEXT` where that is told only by what comes out, None for no name."""
    if name == TODAY:
        return Form.DAY
    if name == GRADUATION:
        return Kind.VOLUME
    if name in job.values:
        return job.values[name].kind
    kinds = (step.reading.kind for step in job.steps if step.reading and step.reading.name == name)
    if kind := next(kinds, None):
        return Form.LEVEL if kind == "level" else Kind(kind)
    if name in job.computed:
        return _kind_of_computed(job, job.computed[name])
    return Form.TEXT if name in choice_names(job) else None


def _kind_of_computed(job: Procedure, computed: Computed) -> Kind | Form:
    chosen = CALCULATIONS.get(computed.work_out)
    if not chosen or not set(chosen.tables).issubset(job.tables):
        return Form.TEXT
    lists = any(isinstance(written, tuple) for written in computed.inputs.values())
    if lists or any(each.takes is Form.AMOUNT for each in chosen.inputs):
        return Form.TEXT  # it is of the kind of what it is given
    answer = work_out(chosen.name, chosen.example, job.tables)
    value = dict(answer.more).get(computed.gives) if computed.gives else answer.value
    return value.kind if isinstance(value, Amount) else Form.TEXT


def faults_of_measured(job: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield what is wrong with the fluids, limits, bands and findings of a job, each with its place."""
    for name, fluid in job.fluids.items():
        for field in _AMOUNTS:
            named = getattr(fluid, field)
            if named and kind_of_name(job, named) is not Kind.VOLUME:
                yield ("fluids", name, field), f"{named!r} is the name of no volume in this job"
    for number, step in enumerate(job.steps):
        if step.reading:
            for place, fault in _faults_of_reading(job, step.reading):
                yield ("steps", number, "reading", *place), fault
        if step.finding and step.finding.by and kind_of_name(job, step.finding.by) is None:
            yield ("steps", number, "finding", "by"), f"{step.finding.by!r} is no reading, choice or computed value"
    yield from _may_be_unknown(job)


def _faults_of_reading(job: Procedure, reading: Reading) -> Iterator[tuple[Place, str]]:
    kind = None if reading.kind == "level" else Kind(reading.kind)
    for field in ("least", "most"):
        if fault := fault_of_bound(job, kind, getattr(reading, field)):
            yield (field,), fault
    for place, band in enumerate(reading.bands):
        yield from _faults_of_band(job, kind, ("bands", place), band)


_AMOUNTS = ("capacity", "least", "first", "span", "room", "surplus")


def _faults_of_band(job: Procedure, kind: Kind | None, place: Place, band: Band) -> Iterator[tuple[Place, str]]:
    for field in ("below", "above"):
        if fault := fault_of_bound(job, kind, getattr(band, field)):
            yield (*place, field), fault


def fault_of_bound(job: Procedure, kind: Kind | None, bound: Bound | None) -> str:
    """Return why a limit can't be one; empty where it can, or there is none."""
    if isinstance(bound, int):
        return "" if kind in (None, Kind.COUNT) else f"{bound} has no unit: write a {kind}"
    if bound is None:
        return ""
    found = kind_of_name(job, bound)
    if found is not None:
        fits = kind is None or found in (kind, Form.TEXT)
        return "" if fits else f"{bound!r} is a {found}, and a {kind} is needed"
    try:
        amount(bound, kind)
    except ReadingError as error:
        return f"it is neither the name of a value nor an amount: {error}"
    return ""


def _may_be_unknown(job: Procedure) -> Iterator[tuple[Place, str]]:
    """Yield the values without which the job would go on, though a gate or what a fluid is needed by rests on them."""
    asks = (ask for gate in job.gates for ask in gate.asks)
    safe = [bound for ask in asks for bound in (ask.least, ask.most, ask.equal)]
    safe += [name for fluid in job.fluids.values() for name in _named_by(fluid)]
    resting = {one for name in safe if isinstance(name, str) for one in (rests_on(job, name) if name in job.computed
                                                                        else (name,))}  # fmt: skip
    for name, wanted in job.values.items():
        if wanted.unknown and name in resting:
            yield ("values", name, "unknown"), "a check for safety rests on it: nobody may go on without it"
        if wanted.unknown and names_in(wanted.unknown):
            yield ("values", name, "unknown"), "it names a value, and may be the one that is not known"


def _named_by(fluid: Fluid) -> tuple[str, ...]:
    return tuple(named for field in _AMOUNTS if (named := getattr(fluid, field)))
