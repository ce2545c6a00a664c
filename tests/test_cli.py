"""The command line as a person or a program uses it: a real process, its exit codes, its lines, its JSON."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.talk import READY, WHOLE

COMMAND = (sys.executable, "-m", "assistant")
CAR = ("oil-and-filter", "--vehicle", "tarnwick-plover-16")


def run(*arguments: str, typed: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *arguments], input=typed, capture_output=True, text=True, check=False, timeout=120)


def lines(words: str) -> str:
    """Words as typed lines; `@60` becomes a minute of simulated time."""
    parts = (part.strip() for part in words.split("/"))
    return "".join(f"@ +{part[1:]}s\n" if part.startswith("@") else f"{part}\n" for part in parts)


def test_a_whole_typed_job_in_json(tmp_path: Path) -> None:
    done = run("run", *CAR, "--typed", "--json", "--data", str(tmp_path), typed=lines(WHOLE))
    assert done.returncode == 0, done.stderr
    replies = [json.loads(line) for line in done.stdout.splitlines()]
    wanted = {"heard", "intent", "events", "say", "show", "step", "where", "gates", "open", "waiting_for", "timers"}
    assert all(wanted <= set(reply) for reply in replies)
    assert replies[-1]["waiting_for"] == "finished"
    assert replies[-1]["open"] == []
    assert any(reply["gates"] == ["place", "under-car"] for reply in replies)
    assert any(reply["timers"] for reply in replies)
    [report] = tmp_path.glob("*.txt")
    text = report.read_text(encoding="utf-8")
    assert "drain plug tightened: 30 N·m" in text
    assert "oil poured, of capacity: 4.2 L of 4.3 L" in text


def test_without_a_job_the_unfinished_one_is_offered_and_resume_takes_it(tmp_path: Path) -> None:
    data = ("--data", str(tmp_path))
    run("run", *CAR, "--typed", *data, typed=lines(READY))
    offered = run("run", "--typed", "--json", *data, typed="what is still open\ncarry on with the job\n")
    first, _, last = (json.loads(line) for line in offered.stdout.splitlines())
    assert "unfinished" in offered.stderr
    assert first["waiting_for"] == "parked"
    assert last["step"] == "tray-off"
    taken = run("run", "--typed", "--resume", "--json", *data, typed="")
    assert json.loads(taken.stdout)["waiting_for"] == "evidence:place/ground"


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed outright")
def test_a_killed_program_goes_on_where_it_was(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [*COMMAND, "run", *CAR, "--typed", "--json", "--data", str(tmp_path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert child.stdin
    assert child.stdout
    child.stdout.readline()
    for words in ("fifty thousand kilometres", "next step"):
        child.stdin.write(words + "\n")
        child.stdin.flush()
        before = json.loads(child.stdout.readline())
    os.kill(child.pid, signal.SIGKILL)
    child.communicate()
    taken = run("run", "--typed", "--resume", "--json", "--data", str(tmp_path), typed="")
    after = json.loads(taken.stdout)
    assert after["step"] == before["step"] == "tools"


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent as a signal")
def test_ctrl_c_keeps_the_job_and_says_how_to_go_on(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [*COMMAND, "run", *CAR, "--typed", "--json", "--data", str(tmp_path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        # a shell lets its background jobs ignore Ctrl-C, and these tests may be one of them
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )  # fmt: skip
    assert child.stdout
    child.stdout.readline()
    child.send_signal(signal.SIGINT)
    _, complaint = child.communicate(timeout=20)
    assert child.returncode == 130
    assert "assistant run --resume" in complaint
    assert "Traceback" not in complaint


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("run", "oil"), "Did you mean oil-and-filter?"),
        (("run", "oil-and-filter", "--typed", "--vehicle", "tarnwik"), "Did you mean tarnwick-plover-16?"),
        (("run", "oil-and-filter", "--typed"), "say which vehicle"),
        (("run", "--typed"), "there is no unfinished job"),
        (("list", "steps"), "say whose steps"),
        (("journal", "nothing"), "there is no job 'nothing'"),
    ],
)
def test_what_can_not_be_done_says_what_can(tmp_path: Path, arguments: tuple[str, ...], said: str) -> None:
    done = run(*arguments, "--data", str(tmp_path))
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("kind", ["missing", "empty", "text", "silent", "clipped"])
def test_a_sound_file_that_is_none_is_said_and_nothing_begins(tmp_path: Path, kind: str) -> None:
    file = tmp_path / f"{kind}.wav"
    if kind == "empty":
        file.write_bytes(b"")
    elif kind == "text":
        file.write_text("this is no sound", encoding="utf-8")
    elif kind == "silent":
        soundfile.write(file, np.zeros(16000), 16000)
    elif kind == "clipped":
        soundfile.write(file, np.sign(np.sin(np.arange(16000) / 9)), 16000)
    data = tmp_path / "data"
    done = run("run", *CAR, "--sound", str(file), "--data", str(data))
    assert done.returncode == 2
    assert file.name in done.stderr
    assert not data.exists()


def test_a_wrong_vehicle_file_names_its_line_and_field(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(
        "id: mine\ntitle: Mine\nabout: x\nunits: metric\nvalues:\n  oil-capacity: {value: 4 qt, source: me}\n"
    )
    done = run("run", "oil-and-filter", "--vehicle", str(file), "--typed", "--data", str(tmp_path))
    assert done.returncode == 2
    assert "mine.yaml:6:25: fault [form] values.oil-capacity.value" in done.stderr
    assert "US qt or imp qt" in done.stderr


def test_lists_are_for_people_and_programs() -> None:
    assert {"id": "oil-and-filter", "title": "Engine oil and filter change"} in json.loads(
        run("list", "jobs", "--json").stdout
    )
    assert len(json.loads(run("list", "vehicles", "--json").stdout)) >= 2
    steps = json.loads(run("list", "steps", "--job", "oil-and-filter", "--json").stdout)
    assert steps[0]["id"] == "odometer"
    assert "drain" in {step["id"] for step in steps}


def test_no_line_moves_the_cursor_or_has_colour(tmp_path: Path) -> None:
    done = run("run", *CAR, "--typed", "--data", str(tmp_path), typed="next step\nwhat can I say\n")
    assert "\x1b" not in done.stdout + done.stderr
    assert not any("\u2500" <= character <= "\u257f" for character in done.stdout)


def typing(data: Path, *arguments: str) -> subprocess.Popen[str]:
    """Begin a typed run, and wait for its first reply."""
    child = subprocess.Popen(
        [*COMMAND, "run", *arguments, "--typed", "--json", "--data", str(data)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert child.stdout
    assert child.stdout.readline()
    return child


def type_in(child: subprocess.Popen[str], words: str) -> str:
    assert child.stdin
    assert child.stdout
    child.stdin.write(words + "\n")
    child.stdin.flush()
    return str(json.loads(child.stdout.readline())["say"])


def test_a_second_run_on_one_job_is_refused_other_jobs_go_on_beside_it_and_each_can_be_followed(tmp_path: Path) -> None:
    data = ("--data", str(tmp_path))
    first = typing(tmp_path, *CAR)
    refused = run("run", "--resume", "--typed", *data, typed="next step\n")
    assert refused.returncode == 1
    [name] = (json.loads(line)["id"] for line in run("journal", "--json", *data).stdout.splitlines())
    assert f"assistant journal --job {name} --follow" in refused.stderr
    second = typing(tmp_path, *CAR)
    for child in (first, second, first, second):
        assert type_in(child, "fifty thousand kilometres")
    follower = subprocess.Popen(
        [*COMMAND, "journal", "--job", name, "--follow", *data], stdout=subprocess.PIPE, text=True
    )
    assert follower.stdout
    assert "JobOpened" in follower.stdout.readline()
    type_in(first, "what is still open")
    assert any("Asked topic=open" in line for line in iter(follower.stdout.readline, ""))
    for child in (first, second, follower):
        child.kill()
        child.communicate()
    taken = run("run", "--resume", name, "--typed", "--json", *data, typed="what is still open\n")
    assert json.loads(taken.stdout.splitlines()[-1])["say"] == "Nothing is open."
    listing = run("journal", *data)
    assert (listing.returncode, len(listing.stdout.splitlines())) == (0, 2)


def test_a_damaged_job_is_named_by_the_list_and_told_aloud_when_it_goes_on(tmp_path: Path) -> None:
    data = ("--data", str(tmp_path))
    run("run", *CAR, "--typed", *data, typed=lines(READY))
    file = tmp_path / "journal.sqlite"
    content = file.read_bytes()
    place = content.rindex(b'{"step":"')
    file.write_bytes(content[: place + 10] + bytes([content[place + 10] ^ 2]) + content[place + 11 :])
    listing = run("journal", *data)
    assert listing.returncode == 1
    assert "its checksum does not fit" in listing.stderr
    taken = run("run", "--resume", "--typed", "--json", *data, typed="")
    assert json.loads(taken.stdout)["say"].startswith("My record of this job is damaged.")
    assert "note: fact" in taken.stderr
    assert run("journal", *data).returncode == 0


def test_a_newer_journal_is_refused_in_plain_words_with_a_way_on(tmp_path: Path) -> None:
    run("run", *CAR, "--typed", "--data", str(tmp_path), typed="")
    file = tmp_path / "journal.sqlite"
    content = bytearray(file.read_bytes())
    content[63] += 1
    file.write_bytes(content)
    for arguments in (("run", *CAR, "--typed"), ("run", "--resume", "--typed"), ("journal",), ("told",)):
        done = run(*arguments, "--data", str(tmp_path), typed="")
        assert done.returncode == 2
        assert "newer version" in done.stderr
        assert "--data" in done.stderr
        assert "Traceback" not in done.stderr
    assert file.read_bytes() == content


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_whole_job_goes_on_without_a_place_to_write_and_says_what_is_lost(tmp_path: Path) -> None:
    """The limit stands for a full disk: what a process writes beyond it fails for real."""
    limited = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192)); " \
        "from assistant.__main__ import main; main()"  # fmt: skip
    command = [sys.executable, "-c", limited, "run", *CAR, "--typed", "--json", "--data", str(tmp_path)]
    done = subprocess.run(command, input=lines(WHOLE), capture_output=True, text=True, check=False, timeout=120)
    replies = [json.loads(line) for line in done.stdout.splitlines()]
    assert replies[0]["say"].startswith("I can't write the record. The disk reports an error. I go on,")
    assert sum("I can't write the record." in reply["say"] for reply in replies) == 1
    assert replies[-1]["waiting_for"] == "finished"
    assert "they are lost" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_journal_that_can_not_be_read_is_said_aloud_too(tmp_path: Path) -> None:
    run("run", *CAR, "--typed", "--data", str(tmp_path), typed="")
    speech = tmp_path / "speech.wav"
    with closing(sqlite3.connect(tmp_path / "journal.sqlite", isolation_level=None)) as other:
        other.execute("begin exclusive")
        done = run("run", "--resume", "--typed", "--speech-file", str(speech), "--data", str(tmp_path), typed="")
    assert done.returncode == 1
    assert "End the other program that holds it" in done.stderr
    assert soundfile.info(speech).duration > 1


def test_a_file_that_is_wrong_hides_no_other_and_an_id_is_found_whatever_its_file_is_called(tmp_path: Path) -> None:
    vehicles = tmp_path / "procedures" / "vehicles"
    vehicles.mkdir(parents=True)
    (vehicles / "broken.yaml").write_text("id: [", encoding="utf-8")
    own = (Path("procedures") / "vehicles" / "tarnwick-plover-16.yaml").read_text(encoding="utf-8")
    (vehicles / "merc.yaml").write_text(own.replace("id: tarnwick-plover-16", "id: blue-van"), encoding="utf-8")
    done = run("list", "vehicles", "--data", str(tmp_path))
    assert done.returncode == 2
    assert "blue-van" in done.stdout
    assert "tarnwick-plover-16" in done.stdout
    assert "left out: " in done.stderr
    assert "broken.yaml" in done.stderr
    begun = run("run", "oil-and-filter", "--vehicle", "blue-van", "--typed", "--data", str(tmp_path), typed="")
    assert begun.returncode == 0
