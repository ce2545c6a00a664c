"""Any job on any vehicle to its end, by what its replies say that may be said. A new job is walked as it is added."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import yaml

from assistant.adapters.library import Library
from assistant.core.data.vehicle import Vehicle
from tests.core.job.small_jobs import BATTERY, PADS, TWO_FLUIDS
from tests.core.job.test_fastening import TEXT as FASTENING
from tests.walker import Straight, Stuck, Walk, Wanderer, bare, check, fits, needed, walk, written

LIBRARY = Library()
PAIRS = [(job.id, car) for job in LIBRARY.jobs() for car in LIBRARY.vehicles() if fits(job, car)]
NAMES = [f"{job} on {car.id}" for job, car in PAIRS]
TURNS = 100
TYPES: dict[str, tuple[type, ...]] = {
    "text": (str,), "number": (int, float), "whole number": (int,), "true or false": (bool,), "list": (list,),
    "null": (type(None),),
}  # fmt: skip


def test_every_job_has_a_vehicle_and_says_why_it_is_not_for_the_others() -> None:
    assert {job for job, _ in PAIRS} == {job.id for job in LIBRARY.jobs()}
    others = [(job, car) for job in LIBRARY.jobs() for car in LIBRARY.vehicles() if (job.id, car) not in PAIRS]
    assert others and all(job.unfit(car).endswith(".") for job, car in others)


@pytest.mark.parametrize(("job", "car"), PAIRS, ids=NAMES)
def test_a_job_comes_to_its_end(job: str, car: Vehicle, tmp_path: Path) -> None:
    found = walk(Straight(), job, car, tmp_path)
    assert (found.code, found.errors, found.replies[-1]["waiting_for"]) == (0, "", "finished")


@pytest.mark.parametrize(("job", "car"), PAIRS, ids=NAMES)
def test_a_job_comes_to_its_end_on_a_vehicle_whose_file_holds_no_value(job: str, car: Vehicle, tmp_path: Path) -> None:
    found = walk(Straight(), job, bare(LIBRARY.job(job), car), tmp_path)
    assert (found.code, found.errors, found.replies[-1]["waiting_for"]) == (0, "", "finished")
    asked = {reply["waiting_for"] for reply in found.replies if reply["waiting_for"].startswith("value:")}
    assert bool(asked) == (set(LIBRARY.job(job).values) > needed(LIBRARY.job(job)))


@pytest.mark.parametrize(("job", "car"), PAIRS, ids=NAMES)
def test_whatever_is_said_is_understood_and_there_is_a_way_on(job: str, car: Vehicle, tmp_path: Path) -> None:
    wanderer = Wanderer(seed=len(job) + len(car.id), turns=TURNS)
    found = walk(wanderer, job, car, tmp_path)
    assert found.code == 0, found.errors
    assert not (tmp_path / "data" / "faults.txt").exists()
    assert len(wanderer.counted) > 10


@pytest.mark.parametrize("text", [PADS, TWO_FLUIDS, BATTERY, FASTENING], ids=["pads", "fluids", "battery", "fastening"])
@pytest.mark.parametrize("choose", [Straight(), Wanderer(seed=2, turns=60)], ids=["straight on", "by chance"])
def test_an_owner_s_job_is_walked_like_any_other(text: str, choose: Straight | Wanderer, tmp_path: Path) -> None:
    job = str(yaml.safe_load(text)["id"])
    folder = tmp_path / "data" / "procedures" / "jobs"
    folder.mkdir(parents=True)
    (folder / f"{job}.yaml").write_text(f"format: 2\n{text.replace(', needed: true', '')}", encoding="utf-8")
    car = LIBRARY.vehicles()[0].model_copy(update={"values": {}, "notes": {}})
    found = walk(deepcopy(choose), job, car, tmp_path)
    assert found.code == 0, found.errors
    assert found.replies
    if isinstance(choose, Straight):
        assert (found.errors, found.replies[-1]["waiting_for"]) == ("", "finished")


def test_a_job_comes_to_its_end_in_a_process_of_its_own(tmp_path: Path) -> None:
    job, car = PAIRS[0]
    choose = Straight()
    command = [sys.executable, "-m", "assistant", "run", job, "--vehicle", str(written(car, tmp_path)), "--typed",
               "--json", "--no-alarm", "--data", str(tmp_path / "data")]  # fmt: skip
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8") as child:
        assert child.stdin
        assert child.stdout
        waiting = "nothing"
        for line in child.stdout:
            waiting = json.loads(line)["waiting_for"]
            if words := choose(json.loads(line)):
                child.stdin.write(f"{words}\n")
                child.stdin.flush()
        child.stdin.close()
    assert (child.returncode, waiting) == (0, "finished")


# --- what the walker notices ---


def reply(**changed: object) -> dict[str, Any]:
    one = {"intent": "next", "example": "next step", "answers": True, "option": None, "kind": None, "least": None}
    usual = {"step": "a", "waiting_for": "next", "timers": [], "may_say": [one], "intent": None, "verdict": None,
             "say": "", "events": []}  # fmt: skip
    return {**usual, **changed}


def test_an_unknown_question_and_a_state_without_a_way_on_are_noticed() -> None:
    check(reply())
    check(reply(waiting_for="finished", may_say=[]))
    with pytest.raises(Stuck, match="an unknown question: guess:a"):
        check(reply(waiting_for="guess:a"))
    with pytest.raises(Stuck, match="no way on at a, next"):
        check(reply(may_say=[]))


def test_what_is_understood_as_something_else_is_noticed() -> None:
    wanderer = Wanderer(seed=1, turns=9)
    assert wanderer(reply()) == "next step"
    with pytest.raises(Stuck, match="'next step' was taken as back"):
        wanderer(reply(intent="back", verdict="accepted"))


def test_a_circle_without_end_is_noticed() -> None:
    choose = Straight()
    with pytest.raises(Stuck, match="no end in sight"):
        for _ in range(1000):
            choose(reply())


# --- what a reply holds, as DEVELOPERS.md tells it ---


def tables() -> dict[str, dict[str, tuple[type, ...]]]:
    """The keys of a reply and of what may be said, each with its types, as they are written down."""
    text = (Path(__file__).parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = text.split("## What a reply holds", 1)[1].split("\n## ", 1)[0]
    found: dict[str, dict[str, tuple[type, ...]]] = {"reply": {}, "may_say": {}}
    for where, keys, types in re.findall(r"^\| (reply|may_say) \| (`[^|]+`) \| ([^|]+) \|", part, re.MULTILINE):
        for key in re.findall("`([^`]+)`", keys):
            names = types.replace(" of texts", "").replace(" of objects", "").strip().split(", or ")
            found[where][key] = tuple(one for name in names for one in TYPES[name])
    return found


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Walk:
    """A walk by chance."""
    return walk(Wanderer(seed=5, turns=TURNS), *PAIRS[-1], tmp_path_factory.mktemp("walk"))


def test_every_reply_holds_what_is_written_down(found: Walk) -> None:
    written_down = tables()
    for one in found.replies:
        _holds(one, written_down["reply"])
        for way in one["may_say"]:
            _holds(way, written_down["may_say"])


def _holds(record: dict[str, Any], keys: dict[str, tuple[type, ...]]) -> None:
    assert set(record) == set(keys)
    for key, value in record.items():
        assert type(value) in keys[key], (key, value)


def test_the_jobs_to_choose_from_are_there_as_data_too(tmp_path: Path) -> None:
    job, car = PAIRS[0]
    file = written(car, tmp_path)
    for _ in range(2):
        Walk(lambda _: "").go("run", job, "--vehicle", str(file), "--data", str(tmp_path))
    seen: list[dict[str, Any]] = []

    def second(reply: dict[str, Any]) -> str:
        seen.append(reply)
        return str(reply["may_say"][1]["example"]) if len(seen) == 1 else ""

    assert Walk(second).go("run", "--data", str(tmp_path)).code == 0
    assert set(seen[0]) == {"say", "may_say"}
    assert [one["intent"] for one in seen[0]["may_say"]][:2] == ["job", "job"]
    assert seen[1]["waiting_for"]
