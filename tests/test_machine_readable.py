"""What `--json` prints of jobs, facts and told values: read by a program, whole, with an exit code that tells."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant import wiring
from assistant.commands import cli
from assistant.core.data.vehicle import Spec
from assistant.core.job.events import ValueTold, decode
from assistant.core.quantities.units import amount
from tests.short_job import write_short_job


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """One unfinished job in which a torque was told."""
    write_short_job(tmp_path)
    store, shelf, clock = wiring.journal(tmp_path), wiring.library(tmp_path), wiring.SystemClock()
    job, _ = wiring.new_job(store, shelf.job("short"), shelf.vehicle("red-car"), clock)
    told = ValueTold("red-car", "plug-torque", Spec(value=amount("90 N·m"), source="told by the owner"))
    store.append(job.name, (told,), clock.now())
    store.close()
    return tmp_path


def shown(capsys: pytest.CaptureFixture[str], data: Path, *words: str) -> tuple[int, list[Any]]:
    """Return the exit code, and each line as JSON."""
    code = cli.main([*words, "--json", "--data", str(data)])
    return code, [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_each_fact_is_an_object_from_which_it_can_be_made_again(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, [listed] = shown(capsys, data, "journal")
    assert (code, listed["facts"], listed["damage"]) == (0, 4, None)
    code, facts = shown(capsys, data, "journal", listed["id"])
    assert code == 0
    assert [fact["number"] for fact in facts] == [1, 2, 3, 4]
    store = wiring.journal(data)
    for fact, row in zip(facts, store.read(listed["id"]), strict=True):
        assert decode(fact["kind"], json.dumps(fact["fields"])) == row.event
        assert (fact["job"], fact["at"]) == (row.job, row.at.isoformat())
    store.close()
    assert facts[-1]["fields"]["spec"]["value"] == "90 N·m"


def test_a_damaged_job_is_told_in_the_object_and_by_the_exit_code(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = data / "journal.sqlite"
    content = file.read_bytes()
    place = content.rindex(b"told by the owner")
    file.write_bytes(content[:place] + b"T" + content[place + 1 :])
    code, [listed] = shown(capsys, data, "journal")
    assert (code, listed["facts"]) == (1, 3)
    assert "its checksum does not fit" in listed["damage"]
    code, facts = shown(capsys, data, "journal", listed["id"])
    assert (code, len(facts)) == (1, 3)


def test_lists_are_one_array_of_objects_also_where_they_are_empty(
    data: Path, tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    code, [[job]] = shown(capsys, data, "jobs", "list")
    assert (code, job["job"], job["vehicle"], job["state"]) == (0, "short", "red-car", "unfinished")
    code, [[told]] = shown(capsys, data, "told")
    assert (code, told["value"], told["unit"], told["job"]) == (0, "90", "N·m", job["id"])
    empty = tmp_path_factory.mktemp("empty")
    for words in (("jobs", "list"), ("told",)):
        assert shown(capsys, empty, *words) == (0, [[]])
    assert shown(capsys, empty, "journal") == (0, [])
    for words in (("journal", "nothing"), ("jobs", "show", "nothing"), ("told", "--vehicle", "nothing")):
        assert shown(capsys, empty, *words) == (2, [])
