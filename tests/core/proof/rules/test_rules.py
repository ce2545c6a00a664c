"""Each rule is noticed where it is broken, at its place, and nothing is told where none is: cases as data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from assistant.adapters.lexicon_cmudict import pronounce
from assistant.adapters.library import Library, data_folder, read_yaml
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.proof.rules import heard
from assistant.core.proof.rules.every import FILE, OF_FILES, OF_JOBS, OF_VEHICLES, found_in
from assistant.core.proof.rules.rule import Beside, Finding, Hearing, Severity
from assistant.core.types import Phrase
from assistant.system.faulty_file import Refused, finding
from assistant.system.plain_file import UnfitFile
from assistant.system.yaml_file import remarks

HERE = Path(__file__).parent
SHELF = Library()
JOB, VEHICLE = ((HERE / f"{name}.yaml").read_text(encoding="utf-8") for name in ("job", "vehicle"))
CASES: dict[str, list[dict[str, Any]]] = read_yaml(HERE / "cases.yaml")
EVERY = [*OF_FILES, *OF_JOBS, *OF_VEHICLES]
GIVEN = [(name, case) for name, cases in CASES.items() for case in cases]
BESIDE = Beside(
    SHELF.rules(),
    (SHELF.read_job(HERE / "job.yaml")[0],),
    (SHELF.read_vehicle(HERE / "vehicle.yaml")[0],),
    SHELF.tables(),
)
OUT = (Phrase("out", "nobody is under it now"), Phrase("out", "I have come out from there"))
HEARING = Hearing(OUT, SHELF.turning_words(), badly_heard=("all tools ready",), lexicon=pronounce)
SLOW = {rule.id for rule in OF_JOBS if rule.slow}


def findings(file: Path, case: dict[str, Any], slow: set[str]) -> Iterator[Finding]:
    """Yield what all rules find but for the slow ones, of which some are looked at."""
    try:
        if case.get("vehicle"):
            car, at = SHELF.read_vehicle(file)
            beside = replace(BESIDE, vehicles=(car,), twins=("other.yaml",) if case.get("twice") else ())
            found = found_in(car, beside, OF_VEHICLES)
        else:
            job, at = SHELF.read_job(file)
            general = tuple(Phrase(name, says) for name, texts in case.get("hears", {}).items() for says in texts)
            beside = replace(
                BESIDE, jobs=(job,), line_of=lambda place: (at(place).file, at(place).line),
                remarks=lambda name: remarks(Path(name)),
                hearing=replace(HEARING, general=(*OUT, *general), laid_out=[], measure=[]),
            )  # fmt: skip
            found = found_in(job, beside, [rule for rule in OF_JOBS if not rule.slow or rule.id in slow])
        yield from (finding(at(place), rule, what) for rule, place, what in found)
    except Refused as error:
        yield from error.findings
    except UnfitFile as error:
        yield Finding(str(file), error.line, 1, FILE.id, FILE.severity, "the whole", error.why)


class Silent(Contraries):
    """Makes no contraries."""

    def of(self, phrase: Phrase) -> None:
        return None


def written(folder: Path, case: dict[str, Any]) -> Path:
    before = VEHICLE if case.get("vehicle") else JOB
    assert case["old"] in before
    file = folder / "mine.yaml"
    file.write_bytes(before.replace(case["old"], case["new"], 1).encode("utf-8", "surrogateescape"))
    return file


@pytest.mark.parametrize("name", ["job", "vehicle"])
def test_what_breaks_no_rule_is_told_nothing(name: str) -> None:
    assert [str(one) for one in findings(HERE / f"{name}.yaml", {"vehicle": name == "vehicle"}, SLOW)] == []


@pytest.mark.parametrize(("name", "case"), GIVEN, ids=[f"{name}-{case['new'][:30]}" for name, case in GIVEN])
def test_a_broken_rule_is_told_at_its_place(
    name: str, case: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if case.get("silent"):  # the words by which contraries are made leave none out: so none are made
        monkeypatch.setattr(heard, "Contraries", Silent)
    found = list(findings(written(tmp_path, case), case, {name}))
    told = [(one.rule, one.place) for one in found]
    if case.get("fine"):
        assert name not in [rule for rule, _ in told], found
        return
    assert (name, case["at"]) in told, found
    one = next(one for one in found if one.rule == name)
    assert str(one).startswith(f"{tmp_path / 'mine.yaml'}:{one.line}:{one.column}: {one.severity} [{name}] ")
    assert one.line > 1 or case["at"] == "the whole"


def test_each_rule_has_a_case_and_says_why_and_how_to_mend_it() -> None:
    assert sorted(rule.id for rule in EVERY) == sorted(CASES)
    for rule in EVERY:
        assert rule.reason.endswith(".") and rule.mend, rule.id
        assert any(not case.get("fine") for case in CASES[rule.id]), rule.id


def test_no_rule_that_takes_seconds_keeps_anybody_waiting() -> None:
    assert {rule.severity for rule in EVERY if rule.slow} == {Severity.WARNING}


@pytest.mark.parametrize("job", SHELF.files()["jobs"], ids=lambda path: path.stem)
def test_the_jobs_that_travel_with_the_program_break_no_rule(job: Path) -> None:
    procedure, at = SHELF.read_job(job)
    beside = Beside(
        SHELF.rules(),
        SHELF.jobs(),
        SHELF.vehicles(),
        SHELF.tables(),
        None,
        (),
        lambda place: (at(place).file, at(place).line),
        lambda name: remarks(Path(name)),
    )
    quickly = [rule for rule in OF_JOBS if not rule.slow]  # the others: test_procedures
    found = found_in(procedure, beside, quickly)
    assert [str(finding(at(place), rule, what)) for rule, place, what in found] == []


@pytest.mark.parametrize("car", SHELF.files()["vehicles"], ids=lambda path: path.stem)
def test_the_vehicles_that_travel_with_the_program_break_no_rule(car: Path) -> None:
    vehicle, at = SHELF.read_vehicle(car)
    beside = Beside(SHELF.rules(), SHELF.jobs(), SHELF.vehicles(), SHELF.tables())
    found = found_in(vehicle, beside, OF_VEHICLES)
    assert [str(finding(at(place), rule, what)) for rule, place, what in found if rule.id != "vehicle-lacks"] == []
    assert data_folder("procedures") in car.parents
