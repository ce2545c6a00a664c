"""What has to be there at once, without the second that units, data and arrays take to load."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = {"numpy", "pydantic", "pint", "yaml", "sqlite3", "assistant.wiring"}


def loaded(*words: str) -> tuple[set[str], int]:
    """The modules that are there when a command ends, and its exit code."""
    ended = "import atexit, sys; atexit.register(lambda: print('\\n', *sys.modules, file=sys.stderr)); "
    run = "sys.argv[1:] = sys.argv[2:]; from assistant.__main__ import main; main()"
    command = [sys.executable, "-c", ended + run, "-", *words]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    return set(done.stderr.splitlines()[-1].split()), done.returncode


@pytest.mark.parametrize(
    "words", ["--version", "--help", "run --help", "work-out --help", "hear --end-silence 9 a.wav"]
)
def test_help_version_and_wrong_words_load_nothing_heavy(words: str) -> None:
    modules, code = loaded(*words.split())
    assert code == (2 if "9" in words else 0)
    assert "assistant.commands.cli" in modules
    assert not modules & HEAVY


def test_a_command_loads_no_other_command() -> None:
    modules, code = loaded("list", "jobs")
    assert code == 0
    assert {"numpy", "pydantic", "pint"} <= modules  # so the names above are those that would show
    commands = {name.removeprefix("assistant.commands.") for name in modules if name.startswith("assistant.commands.")}
    assert {name for name in commands if not name.endswith("arguments")} == {"cli", "listing"}
