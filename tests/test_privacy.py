"""What is left of what was said: no sound, and no word that was not for the assistant, unless the owner asks for it."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.listing import files, holding, is_sound, open_to_others, own_home

RECORDINGS = Path(__file__).resolve().parent.parent / "procedures" / "demo" / "oil-and-filter"
HEARD = (1, 2, 10, 3)  # a reading, "next step", talk about a match for nobody, "I have got the tools"
CAR = ("oil-and-filter", "--vehicle", "tarnwick-plover-16")


def run(home: Path, *options: str, typed: str | None = None, watched: Sequence[str] = ()) -> tuple[Path, list[dict]]:
    """Do the beginning of a job in a home of its own, and return its data folder and the turns."""
    data = home / "garage" / "data"
    command = [*watched, sys.executable, "-m", "assistant", "run", *CAR, "--json", "--data", str(data), *options]
    done = subprocess.run(
        command, input=typed, capture_output=True, text=True, env=own_home(home), timeout=300, check=False
    )
    assert done.returncode == 0, done.stderr
    return data, [json.loads(line) for line in done.stdout.splitlines()]


def can_watch() -> bool:
    """Tell whether the calls of a process to the system can be watched here: the program is there, and may do it."""
    return bool(shutil.which("strace")) and subprocess.run(["strace", "true"], capture_output=True).returncode == 0


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[dict]]:
    """The beginning of a job from recordings, its calls to the system watched where that can be done."""
    home = tmp_path_factory.mktemp("played") / "home"
    watch = ("strace", "--follow-forks", "--seccomp-bpf", "--trace=%network,execve", "--output", str(home) + ".calls")
    sounds = [str(RECORDINGS / f"{number:02d}.ogg") for number in HEARD]
    return run(home, "--sound", *sounds, watched=watch if can_watch() else ())


def test_recordings_leave_facts_and_no_sound_and_no_word_of_other_talk(played: tuple[Path, list[dict]]) -> None:
    data, turns = played
    home = data.parent.parent
    heard = [turn["heard"] for turn in turns if turn["heard"]]
    [alone] = [turn for turn in turns for event in turn["events"] if event["kind"] == "LeftAlone"]
    assert len(heard) == len(HEARD)
    assert "match" in alone["heard"]  # it is shown, and not kept
    left = files(home)
    assert data / "journal.sqlite" in left
    assert [path for path in left if is_sound(path)] == []
    assert holding(left, "84200") == [("journal.sqlite", "84200")]  # what is looked for would be found
    assert holding(left, *heard, "saturday", "evening") == []
    assert [path for path in left if not path.is_relative_to(data)] == []


@pytest.mark.skipif(not can_watch(), reason="needs strace, and leave to use it")
def test_nobody_is_called_over_the_network(played: tuple[Path, list[dict]]) -> None:
    calls = played[0].parent.parent.with_suffix(".calls").read_text(encoding="utf-8", errors="replace")
    assert calls.count("execve(") > 2  # the children too
    assert re.findall(r"^.*(?:AF_INET|/nscd/).*$", calls, re.MULTILINE) == []


SAID = "the neighbour owes me money\nflibbertigibbet\n"


def test_typed_talk_is_not_kept_unless_that_is_asked_for(tmp_path: Path) -> None:
    run(tmp_path / "usual", "--typed", typed=SAID)
    assert holding(files(tmp_path / "usual"), "neighbour", "flibbertigibbet") == []
    data, _ = run(tmp_path / "kept", "--typed", "--keep-words", typed=SAID)
    assert {text for _, text in holding(files(data), "neighbour", "flibbertigibbet")} == {
        "neighbour",
        "flibbertigibbet",
    }


def test_sound_is_written_where_it_is_asked_for(tmp_path: Path) -> None:
    run(tmp_path, "--typed", "--speech-file", str(tmp_path / "said.wav"), typed="next step\n")
    assert [path.name for path in files(tmp_path) if is_sound(path)] == ["said.wav"]


@pytest.mark.skipif(sys.platform == "win32", reason="there the folder of a user is private by its own rules")
def test_what_the_program_makes_is_for_its_owner_alone(tmp_path: Path) -> None:
    home = tmp_path / "home"
    data, _ = run(home, "--typed", typed="next step\n")
    assert files(data)
    assert open_to_others(home / "garage") == []


@pytest.mark.skipif(sys.platform == "win32", reason="there the folder of a user is private by its own rules")
def test_a_folder_that_was_there_stays_as_it_was(tmp_path: Path) -> None:
    home = tmp_path / "home"
    (home / "garage").mkdir(parents=True)
    (home / "garage").chmod(0o755)
    data, _ = run(home, "--typed", typed="next step\n")
    assert open_to_others(home / "garage") == [str(home / "garage")]
    assert data.stat().st_mode & 0o777 == 0o700
