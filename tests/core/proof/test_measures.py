"""What a job works out, measures and judges is checked when its file is read, and held against promises when proven."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.adapters.library import Library
from assistant.core.data.measured import Grade
from assistant.core.data.procedure import Procedure
from assistant.core.job import bands, findings, given, readings
from assistant.core.proof.checks import faults_of
from assistant.core.proof.explore import Report, explore
from tests.core.job.small_jobs import PADS, TWO_FLUIDS, car, job

RULES = Library().rules()
FULL = car(nuts="4 ×", pad_least="2 mm")
WET = car(coolant_capacity="6 L", coolant_least="5 L", brake_capacity="0.8 L", brake_span="0.2 L")


@pytest.mark.parametrize("text", [PADS, TWO_FLUIDS])
def test_the_small_jobs_have_no_fault(text: str) -> None:
    assert not list(faults_of(job(text), RULES))


@pytest.mark.parametrize(
    ("written", "instead", "place", "why"),
    [
        ("work_out: spread, with: {readings: [\"left: pad-left\", \"right: pad-right\"]}, gives: least",
         "work_out: spred, with: {readings: pad-left}", ("computed", "thinnest", "work_out"), "did you mean 'spread'"),
        ("gives: least", "gives: thinnest", ("computed", "thinnest", "gives"), "gives: least, greatest"),
        ("with: {readings: [\"left: pad-left\", \"right: pad-right\"]}, gives", "with: {reading: pad-left}, gives",
         ("computed", "thinnest", "with", "reading"), "takes no 'reading'"),
        ("with: {readings: [\"left: pad-left\", \"right: pad-right\"]}, gives", "with: {}, gives",
         ("computed", "thinnest", "with"), "needs readings"),
        ("work_out: spread, with: {readings: [\"left: pad-left\", \"right: pad-right\"]}, gives: least",
         "work_out: drain-pan, with: {capacity: pad-left}", ("computed", "thinnest", "with", "capacity"),
         "'pad-left' is a length"),
        ("work_out: spread, with: {readings: [\"left: pad-left\", \"right: pad-right\"]}, gives: least",
         "work_out: drain-pan, with: {capacity: pad-last}", ("computed", "thinnest", "with", "capacity"),
         "'pad-last' is no name in this job"),
        ("{readings: [\"left: pad-left\", \"right: pad-right\"]}, gives", "{readings: thinnest}, gives",
         ("computed", "thinnest", "with"), "worked out from itself"),
        ("below: pad-least", "below: pad-last", ("steps", 0, "reading", "bands", 0, "below"), "neither the name"),
        ("below: 3 mm", "below: 3", ("steps", 0, "reading", "bands", 1, "below"), "has no unit"),
        ("below: 3 mm", "below: 3 bar", ("steps", 0, "reading", "bands", 1, "below"), "bar"),
        ("most: 15 mm", "most: nuts", ("steps", 0, "reading", "most"), "'nuts' is a count"),
        ("what: brake hose", "what: brake hose, by: hoses", ("steps", 3, "finding", "by"), "no reading, choice"),
        ("equal: nuts", "equal: pad-least", ("gates", 0, "asks", 0, "equal"), "'pad-least' is a length"),
        ("least: 3 ×, most: 8 ×, needed: true", "least: 3 ×, most: 8 ×, unknown: Then not.",
         ("values", "nuts", "unknown"), "a check for safety rests on it"),
    ],
)  # fmt: skip
def test_a_fault_is_told_with_its_place(written: str, instead: str, place: tuple[object, ...], why: str) -> None:
    assert written in PADS
    found = dict(faults_of(job(PADS.replace(written, instead)), RULES))
    assert place in found, found
    assert why in found[place]


@pytest.mark.parametrize(
    ("written", "instead", "why"),
    [
        ("{id: good, grade: good}", "{id: good, above: 3 mm, grade: good}", "but for the last"),
        ("{id: soon, below: 3 mm, ", "{id: soon, ", "but for the last"),
        ("id: soon, below", "id: stop, below", "the same id"),
        ("equal: nuts,", "equal: nuts, least: 1,", "or `equal` alone"),
        ("needed: true", "needed: true, unknown: Then not.", "has no `unknown`"),
    ],
)
def test_bands_and_bounds_are_whole(written: str, instead: str, why: str) -> None:
    assert written in PADS
    with pytest.raises(ValueError, match=why):
        job(PADS.replace(written, instead))


@pytest.mark.parametrize(("text", "vehicle"), [(PADS, FULL), (PADS, car(nuts="4 ×")), (TWO_FLUIDS, WET)])
def test_promises_hold_in_all_states(text: str, vehicle: object) -> None:
    report = explore(job(text), vehicle, loops=0, most=3_000)  # type: ignore[arg-type]
    assert [line for line in report.broken if "given up" not in line] == []
    assert report.finished > 0


def _reversed(state: object) -> Grade | None:
    return min((found.grade for found in findings.findings(state)), key=[*Grade].index, default=None)  # type: ignore[arg-type]


BREAKAGES: dict[str, tuple[Callable[[pytest.MonkeyPatch], None], str]] = {
    "a band takes its edge in": (
        lambda patch: patch.setattr(bands, "_fits", lambda state, band, value: band.below is None
                                    or value.magnitude <= bands.limit(state, band.below, value.unit)),
        "is not judged as"),
    "the last band is taken": (
        lambda patch: patch.setattr(bands, "band_at", lambda state, every, value: every[-1] if every else None),
        "is not judged as"),
    "limits are not held": (
        lambda patch: patch.setattr(readings, "_between", lambda state, reading, given: given),
        "beyond its most was taken"),
    "a number need not be met exactly": (
        lambda patch: patch.setattr(given, "check_evidence", lambda state, ask, given: given), "too much was taken"),
    "the verdict is the best": (
        lambda patch: patch.setattr("assistant.core.proof.judged.worst", _reversed), "where stop was found"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*BREAKAGES])
def test_what_is_judged_wrong_is_found(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    breaks, promise = BREAKAGES[name]
    breaks(monkeypatch)
    report: Report = explore(_job(), FULL, stop=True, loops=0, most=2_000)
    assert any(promise in line for line in report.broken), report.broken


def _job() -> Procedure:
    return job(PADS)


def test_too_little_of_the_second_fluid_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    text = TWO_FLUIDS.replace("drains: coolant}", "drains: brake}")
    monkeypatch.setattr("assistant.core.job.filling.bounds_broken", lambda state, name: (False, False))
    report = explore(job(text), WET, stop=True, loops=0, most=2_000)
    assert any("told to do drive with too little in it" in line for line in report.broken), report.broken
