"""A job and its groups as files: found by name, the owner's before ours; a fault is told with file, line and way."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from assistant.adapters.library import Library, data_folder
from assistant.core.errors import DataError
from assistant.system.job_file import read_job

JOB = """format: 2
id: small
title: Small
about: Invented for tests.
parts:
  - {id: lid, name: the lid}
steps:
  - {id: first, title: First, where: bench, say: Begin., why: So.}
  - {use: look, with: {at: the lid}}
"""
LOOK = """format: 2
group: look
about: Invented for tests.
parameters: {at: what is looked at}
steps:
  - id: look
    title: Look
    where: bay
    say: Look at {at}.
    why: So.
"""


def written(folder: Path, files: dict[str, str]) -> Library:
    """Write files into a folder of the owner's, and return the library with it."""
    for name, text in files.items():
        file = folder / f"{name}.yaml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return Library(data_folder("procedures"), folder)


def test_the_groups_of_the_owner_go_before_ours(tmp_path: Path) -> None:
    ours = data_folder("procedures") / "groups" / "odometer.yaml"
    own = ours.read_text(encoding="utf-8").replace("Read the odometer.", "Read the clock.")
    job = JOB.replace("{use: look, with: {at: the lid}}", "{use: odometer}")
    assert "odometer" in written(tmp_path, {"jobs/small": job}).job("small").steps[1].say
    assert "clock" in written(tmp_path, {"groups/odometer": own}).job("small").steps[1].say


FAULTS = {
    "a field of a step in a group": (
        "groups/look", "where: bay", "where: roof",
        "groups/look.yaml:8:12: fault [form] steps.0.where: ", 9),
    "a brace in a text of a group": (
        "groups/look", "{at}.", "{other}.",
        "groups/look.yaml:9:10: fault [brace-unknown] steps.0.say: {other} is no value", 9),
    "a parameter that is lacking": (
        "jobs/small", ", with: {at: the lid}", "",
        "jobs/small.yaml:9:5: fault [short-form] steps.1: look needs the parameter at", 0),
    "a group that is none": (
        "jobs/small", "use: look", "use: lok",
        "jobs/small.yaml:9:11: fault [short-form] steps.1.use: there is no group 'lok'", 0),
    "another format": ("groups/look", "format: 2", "format: 1",
        "groups/look.yaml:1:9: fault [short-form] format: this program", 9),
    "no YAML": ("groups/look", "why: So.", "why: [So.",
        "groups/look.yaml:11:1: fault [yaml] the whole: it is no YAML", 0),
}  # fmt: skip


@pytest.mark.parametrize("name", [*FAULTS])
def test_a_fault_is_told_with_its_file_and_line_and_the_way_to_it(name: str, tmp_path: Path) -> None:
    file, before, now, said, used = FAULTS[name]
    files = {"jobs/small": JOB, "groups/look": LOOK}
    library = written(tmp_path, files | {file: files[file].replace(before, now)})
    with pytest.raises(DataError) as refused:
        library.job("small")
    told = str(refused.value).replace(f"{tmp_path}/", "")
    assert said in told
    way = re.search(r"\(in the group look, used in jobs/small\.yaml, line (\d+)\)", told)
    assert (int(way[1]) if way else 0) == used


def test_a_clash_is_told_with_both_places(tmp_path: Path) -> None:
    look = LOOK.replace("steps:", "parts: [{id: lid, name: a lid}]\nsteps:")
    with pytest.raises(DataError) as refused:
        written(tmp_path, {"jobs/small": JOB, "groups/look": look}).job("small")
    assert "groups/look.yaml:5:9: fault [short-form] parts.0: lid is defined twice" in str(refused.value).replace(
        f"{tmp_path}/", ""
    )
    assert f"the other: {tmp_path / 'jobs' / 'small.yaml'}, line 6" in str(refused.value)


def test_a_place_of_the_flat_job_is_found_again_with_line_and_column(tmp_path: Path) -> None:
    written(tmp_path, {"jobs/small": JOB, "groups/look": LOOK})
    job = read_job(tmp_path / "jobs" / "small.yaml", {"look": tmp_path / "groups" / "look.yaml"})
    say = job.written(("steps", 1, "say"))
    assert (Path(say.file).name, say.line, say.column, say.field) == ("look.yaml", 9, 10, "steps.0.say")
    title = job.written(("steps", 0, "title"))
    assert (Path(title.file).name, title.line, title.column, title.way) == ("small.yaml", 8, 24, "")


def test_the_example_of_the_page_about_the_format_is_a_job(tmp_path: Path) -> None:
    page = (data_folder("procedures") / "README.md").read_text(encoding="utf-8")
    nuts, job = (text for text in re.findall(r"```yaml\n(.*?)```", page, re.DOTALL))
    assert (yaml.safe_load(nuts)["group"], yaml.safe_load(job)["id"]) == ("nuts", "front-wheels")
    wheels = written(tmp_path, {"groups/nuts": nuts, "jobs/front-wheels": job}).job("front-wheels")
    ids = [step.id for step in wheels.steps if step.id.startswith("nuts-")]
    assert ids == [f"nuts-{side}-front-{stage}" for side in ("left", "right") for stage in ("half", "full")]
    assert wheels.steps[-1].tighten and not wheels.steps[-2].tighten
