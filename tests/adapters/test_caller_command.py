"""The owner's command for an alarm as real processes: what it is given, how it fails, and that it can be ended."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from assistant.adapters.caller_command import HELP, TRIAL, CommandCaller
from assistant.ports import Called
from tests.commands import FAILS, HANGS, PRINTS, WRITES, command

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks at processes in /proc")


@contextmanager
def calling(*words: str, limit: float = 20.0) -> Iterator[CommandCaller]:
    caller = CommandCaller(words, limit)
    yield caller
    caller.close()


def outcome(caller: CommandCaller, *, trial: bool = False) -> Called | None:
    caller.call(trial=trial)
    assert caller.wait()
    return caller.outcome()


def alive(pid: int) -> bool:
    """Whether a process runs; one that ended and that nobody has waited for yet does not."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def until(wanted: object, seconds: float = 10.0) -> bool:
    end = time.monotonic() + seconds
    while not (found := wanted()) and time.monotonic() < end:  # type: ignore[operator]
        time.sleep(0.02)
    return bool(found)


def test_the_command_gets_its_words_and_a_sentence_and_no_shell_sees_them(tmp_path: Path) -> None:
    with calling(*command(tmp_path, WRITES), "two words", "$HOME; *") as caller:
        assert outcome(caller, trial=True) == Called(trial=True, fault="")
        assert outcome(caller) == Called(trial=False, fault="")
        assert caller.outcome() is None
    written = (tmp_path / "call.out").read_text().splitlines()
    assert written == [f"two words|$HOME; *|{TRIAL}", f"two words|$HOME; *|{HELP}"]


def test_it_does_not_wait_for_input(tmp_path: Path) -> None:
    with calling(sys.executable, "-c", "import sys; sys.exit(len(sys.stdin.read()))") as caller:
        assert outcome(caller) == Called(trial=False, fault="")


def test_the_path_is_not_held_up_and_a_second_call_is_not_lost(tmp_path: Path) -> None:
    slow = command(tmp_path, "import time\ntime.sleep(1)\n" + WRITES)
    with calling(*slow) as caller:
        began = time.monotonic()
        caller.call(trial=True)
        caller.call(trial=False)
        assert caller.outcome() is None
        assert time.monotonic() - began < 0.5
        ended = [caller.outcome() for _ in range(2) if caller.wait()]
        assert time.monotonic() - began < 1.9  # beside each other, not one after the other
        assert not caller.wait()
    assert sorted(one.trial for one in ended if one) == [False, True]
    assert sorted((tmp_path / "call.out").read_text().splitlines()) == sorted([HELP, TRIAL])


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("no-such-command-here",), "the command was not found"),
        (("{folder}/plain",), "the command may not be run"),
        (("{folder}",), "the command may not be run"),
        (("{folder}/nothing",), "the command can't be run"),
        (("true", "a\0b"), "the command can't be run"),
    ],
)
def test_what_can_not_even_begin_says_why(tmp_path: Path, words: tuple[str, ...], fault: str) -> None:
    (tmp_path / "plain").write_text("#!/bin/sh\n")
    (tmp_path / "nothing").write_bytes(b"\x7fELF nothing")
    (tmp_path / "nothing").chmod(0o755)
    with calling(*(word.replace("{folder}", str(tmp_path)) for word in words)) as caller:
        assert outcome(caller, trial=True) == Called(trial=True, fault=fault)


def test_a_failure_is_told_by_its_code_and_the_first_line_of_its_complaint(tmp_path: Path) -> None:
    with calling(*command(tmp_path, FAILS)) as caller:
        assert outcome(caller) == Called(trial=False, fault="it ended with code three: The line is dead")


def test_a_signal_is_told(tmp_path: Path) -> None:
    with calling(*command(tmp_path, "import os\nos.kill(os.getpid(), 9)")) as caller:
        assert outcome(caller) == Called(trial=False, fault="it was ended by signal nine")


def test_megabytes_are_read_and_only_a_little_is_told(tmp_path: Path) -> None:
    with calling(*command(tmp_path, PRINTS)) as caller:
        told = outcome(caller)
    assert told and told.fault.startswith("it ended with code one: yyy")
    assert len(told.fault) < 100


def test_what_takes_too_long_is_ended_with_its_child(tmp_path: Path) -> None:
    with calling(*command(tmp_path, HANGS), limit=2.0) as caller:
        assert outcome(caller) == Called(trial=False, fault="it took longer than two seconds")
    child = int((tmp_path / "call.out").read_text())
    assert until(lambda: not alive(child))


def test_a_child_that_holds_on_to_the_output_of_what_ended_does_not_delay_the_outcome(tmp_path: Path) -> None:
    leaves = HANGS.rsplit("time.sleep(60)", 1)[0]
    with calling(*command(tmp_path, leaves)) as caller:
        began = time.monotonic()
        assert outcome(caller) == Called(trial=False, fault="")
        assert time.monotonic() - began < 5
    os.kill(int((tmp_path / "call.out").read_text()), 9)


def test_closing_ends_what_runs_and_may_be_done_twice(tmp_path: Path) -> None:
    caller = CommandCaller(command(tmp_path, HANGS), 30.0)
    caller.call(trial=False)
    assert until(lambda: (tmp_path / "call.out").is_file() and (tmp_path / "call.out").read_text())
    child = int((tmp_path / "call.out").read_text())
    assert alive(child)
    began = time.monotonic()
    caller.close()
    caller.close()
    assert time.monotonic() - began < 5
    assert until(lambda: not alive(child))
    (tmp_path / "call.out").unlink()
    caller.call(trial=False)
    assert not caller.wait() or caller.outcome()
    assert not (tmp_path / "call.out").exists()


def test_the_home_folder_may_be_written_short(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script = tmp_path / "call.sh"
    script.write_text(f'#!/bin/sh\necho "$1" > {tmp_path}/out\n')
    script.chmod(0o755)
    monkeypatch.setenv("HOME", str(tmp_path))
    with calling("~/call.sh") as caller:
        assert outcome(caller) == Called(trial=False, fault="")
    assert (tmp_path / "out").read_text() == f"{HELP}\n"
