"""The command `check`: what it tells of files, in which words and with which codes, whatever it is given."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.adapters.library import Library, data_folder
from assistant.core.errors import DataError
from tests.short_job import CAR, write_short_job

POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes, devices and limits of memory as POSIX has them")
MEMORY = 1_500_000_000
"""What a check may lay out in all [byte]: the program itself takes some two thirds of it, most never touched."""
JOB = data_folder("procedures") / "jobs" / "oil-and-filter.yaml"


def check(data: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", "check", *words, "--data", str(data)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)


def car(folder: Path, text: str = "", name: str = "mine") -> Path:
    file = folder / f"{name}.yaml"
    file.write_text((text or CAR).format(name=name, units="metric"), encoding="utf-8")
    return file


def test_a_file_at_fault_is_told_with_place_rule_and_mend(tmp_path: Path) -> None:
    file = car(tmp_path, CAR + "tags: [Plug]\n")
    done = check(tmp_path, str(file))
    assert done.returncode == 1
    assert done.stdout.splitlines()[0].startswith(f"{file}:6:8: fault [form] tags.0: ")
    assert done.stdout.splitlines()[-1] == "1 files: 1 faults, 0 warnings"
    assert f"checking {file}" in done.stderr
    record = json.loads(check(tmp_path, "--json", str(file)).stdout)
    assert (record["faults"], record["findings"][0]["line"], record["findings"][0]["rule"]) == (1, 6, "form")


def test_warnings_alone_are_no_failure_and_quiet_tells_faults_alone(tmp_path: Path) -> None:
    file = car(tmp_path)
    done = check(tmp_path, str(file))
    assert done.returncode == 0
    assert "warning [vehicle-lacks]" in done.stdout
    quiet = check(tmp_path, "--quiet", str(file))
    assert (quiet.returncode, quiet.stdout, quiet.stderr) == (0, "", "")


def test_what_nobody_knows_is_no_file_to_check(tmp_path: Path) -> None:
    done = check(tmp_path, "no-such-id")
    assert done.returncode == 2
    assert "there is no file and no id 'no-such-id'" in done.stderr
    assert check(tmp_path, "--schema", "poem").returncode == 2


def test_two_files_with_one_id_are_told_at_both(tmp_path: Path) -> None:
    write_short_job(tmp_path)
    folder = tmp_path / "procedures" / "vehicles"
    (folder / "other.yaml").write_text((folder / "red-car.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    done = check(tmp_path, str(folder / "red-car.yaml"), str(folder / "other.yaml"))
    assert done.returncode == 1
    assert done.stdout.count("yaml has the id 'red-car' too") == 2


def test_run_refuses_a_job_in_the_same_words(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(JOB.read_text(encoding="utf-8").replace("opens: [undertray]", "opens: [tray]"), encoding="utf-8")
    with pytest.raises(DataError) as refused:
        Library().job(str(file))
    told = str(refused.value).splitlines()
    assert any("fault [name-unknown] steps." in line and "there is no part 'tray'" in line for line in told)
    done = check(tmp_path, "--quiet", str(file))
    assert done.returncode == 1
    assert done.stdout.splitlines() == told


def test_the_rules_and_schemas_are_listed(tmp_path: Path) -> None:
    rules = json.loads(check(tmp_path, "--rules", "--json").stdout)
    assert {"id", "severity", "reason", "mend"} == set(rules[0])
    assert "place-without-gate (fault): " in check(tmp_path, "--rules").stdout
    assert "steps" in json.loads(check(tmp_path, "--schema", "job").stdout)["properties"]


LAUGHS = "a: &a [x, x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(20)
)
PLAIN_CAR = b"id: a\ntitle: a\nabout: a\nunits: metric\n"
BAD = {
    "empty": (b"", ":1:1: fault [form]"),
    "binary": (bytes(range(256)) * 40, "fault [file] the whole: it can't be read as text"),
    "huge": (b"a: b\n" * 500_000, "fault [file] the whole: it is larger than 2 MB"),
    "deep": (b"[" * 100_000, ":1:41: fault [yaml]"),
    "exploding": (LAUGHS.encode(), "fault [yaml] the whole: it is no YAML that can be used: it holds more than 50000"),
    "a key twice": (b"id: a\nid: b\n", ":2:1: fault [key-twice]"),
    "tabs": (b"id: a\nvalues:\n\ta: b\n", "token; a tab stands there: indent with spaces."),
    "a colon in a text": (b"id: a\ntitle: Careful: hot\n", ":2:15: fault [yaml] the whole: it is no YAML that "
                          "can be used: mapping values are not allowed here; a colon stands where none can be"),
    "a line too far out": (b"id: a\nvalues:\n   a: b\n  c: d\n", "; the line is not indented as those beside it."),
    "a question without marks": (b"id: a\nvalues: {a: what is it?, b: c}\n", "; put the text with the question mark "),
    "a lost quotation mark": (b'id: a\ntags: ["a, "b"]\n', "; a comma or a quotation mark is missing before it."),
    "no for a text": (PLAIN_CAR.replace(b"title: a", b"title: no"),
                      ":2:8: fault [form] title: a text is wanted: write it "
                      "between quotation marks, for no, off"),
    "a text for a list": (PLAIN_CAR + b"tags: open\n", ":5:7: fault [form] tags: a list is wanted"),
    "units that there are not": (PLAIN_CAR.replace(b"metric", b"old"),
                                 "units: it has to be 'metric', 'imperial' or 'us'."),
    "a value without its fields": (PLAIN_CAR + b"values:\n  mass: 1 t\n",
                                   ":6:9: fault [form] values.mass: it has fields of its own: write them"),
    "a source that says nothing": (PLAIN_CAR + b'values:\n  mass: {value: 1 t, source: ""}\n',
                                   "source: the text is too short to say anything."),
    "utf-16": ("id: a\n".encode("utf-16"), ":1:1: fault [file] the whole: it can't be read as text"),
    "latin-1": ("id: a\ntitle: \xe4\n".encode("latin-1"), ":2:1: fault [file]"),
    "a version that nobody knows": (
        b"format: 99\nid: a\ntitle: a\nabout: a\nunits: metric\n",
        "fault [short-form] format: this program reads",
    ),
    "a path for an id": (b"id: ../../x\ntitle: a\nabout: a\nunits: metric\n", ":1:5: fault [form] id"),
    "many keys": (b"".join(b"k%d: v\n" % i for i in range(60_000)), "fault [yaml]"),
    "a long line": (b"id: " + b"a" * 1_900_000, "fault [form]"),
}  # fmt: skip


@pytest.fixture(scope="module")
def bad(tmp_path_factory: pytest.TempPathFactory) -> subprocess.CompletedProcess[str]:
    """All bad files checked in one run, within bounded memory."""
    folder = tmp_path_factory.mktemp("bad")
    files = []
    for name, (content, _) in BAD.items():
        file = folder / f"{name.replace(' ', '-')}.yaml"
        file.write_bytes(content)
        files.append(str(file))
    (folder / "folder.yaml").mkdir()
    files += [str(folder / "folder.yaml"), str(folder / "nothing.yaml")]
    if os.name == "posix":
        os.mkfifo(folder / "pipe.yaml")
        (folder / "device.yaml").symlink_to("/dev/zero")
        files += [str(folder / "pipe.yaml"), str(folder / "device.yaml")]
    command = [sys.executable, "-m", "assistant", "check", *files, "--data", str(folder)]
    limit = _bounded if os.name == "posix" else None
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120, preexec_fn=limit)


def _bounded() -> None:
    import resource  # there is none on Windows

    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))


def lines_of(done: subprocess.CompletedProcess[str], name: str) -> list[str]:
    return [line for line in done.stdout.splitlines() if f"/{name.replace(' ', '-')}.yaml:" in line]


@pytest.mark.parametrize("name", [*BAD])
def test_a_bad_file_is_refused_with_its_place(name: str, bad: subprocess.CompletedProcess[str]) -> None:
    assert bad.returncode == 1, bad.stderr
    told = lines_of(bad, name)
    assert any(BAD[name][1] in line for line in told), told
    assert all(len(line) < 600 for line in told)


@pytest.mark.parametrize(("name", "said"), [("folder", "it is a folder"), ("nothing", "there is no such file")])
def test_what_is_no_file_is_refused(name: str, said: str, bad: subprocess.CompletedProcess[str]) -> None:
    assert any(f"fault [file] the whole: {said}" in line or said in line for line in lines_of(bad, name))


@POSIX
@pytest.mark.parametrize("name", ["pipe", "device"])
def test_pipes_and_devices_are_not_waited_for(name: str, bad: subprocess.CompletedProcess[str]) -> None:
    assert any("it is a pipe or a device" in line for line in lines_of(bad, name))
