"""The owner's command for an alarm, the whole way: from silence under the car, and from the command line."""

from __future__ import annotations

import json
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
import yaml

from assistant import wiring
from assistant.adapters.caller_command import HELP, TRIAL
from assistant.commands import alarm
from assistant.core.errors import DataError
from assistant.core.job import events as e
from assistant.path.turn import let_calls_end
from tests.commands import FAILS, HANGS, WRITES, command
from tests.short_job import UNDER as UNDER_IT
from tests.short_job import write_short_job
from tests.talk import Talk

COMMAND = (sys.executable, "-m", "assistant")
JOB = ("short", "--vehicle", "red-car")
UNDER = ("next step", "everything is proven", "confirm going under the car")
"""What leads under the car."""
LINES = "\n".join(UNDER)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    folder = tmp_path / "data"
    write_short_job(folder, UNDER_IT)
    return folder


def run(data: Path, *arguments: str, typed: str | None = None) -> subprocess.CompletedProcess[str]:
    words = [*COMMAND, *arguments, "--data", str(data)]
    return subprocess.run(words, input=typed, capture_output=True, text=True, check=False, timeout=120)


def written(folder: Path) -> list[str]:
    file = folder / "call.out"
    return file.read_text(encoding="utf-8").splitlines() if file.is_file() else []


def tried(done: subprocess.CompletedProcess[str]) -> list[dict[str, object]]:
    """The calls that a run in JSON told of."""
    replies = [json.loads(line) for line in done.stdout.splitlines()]
    return [event for reply in replies for event in reply["events"] if event["kind"] == "HelpTried"]


# --- at the desk


@pytest.fixture
def short(talk: Talk, data: Path) -> Talk:
    """A job on the short way, with the person under the car."""
    jobs = data / "procedures"
    talk.begin(talk.library.vehicle(str(jobs / "vehicles" / "red-car.yaml")), str(jobs / "jobs" / "short.yaml"))
    talk.say(" / ".join(UNDER))
    return talk


def levels(talk: Talk) -> list[int]:
    return [fact.level for fact in talk.facts() if isinstance(fact, e.CheckedIn)]


def test_silence_under_the_car_runs_the_command_once_for_each_alarm(short: Talk, tmp_path: Path) -> None:
    short.desk.caller = wiring.caller(command(tmp_path, WRITES), 20)
    short.wait(12 * 60)
    assert levels(short) == [1, 2]
    assert written(tmp_path) == []
    short.wait(3 * 60)
    said = [turn.reply.say for turn in let_calls_end(short.desk)]
    assert max(levels(short)) > 4  # it sounds again and again
    assert written(tmp_path) == [HELP]
    assert e.HelpTried(trial=False, fault="") in short.facts()
    assert said in ([], ["The call for help went out."])
    short.say("I am here")
    short.wait(14 * 60)
    list(let_calls_end(short.desk))
    assert written(tmp_path) == [HELP, HELP]
    wiring.close(short.desk)


def test_a_call_for_help_runs_it_at_once_and_its_failure_is_spoken(short: Talk, tmp_path: Path) -> None:
    short.desk.caller = wiring.caller(command(tmp_path, FAILS), 20)
    short.say("help me")
    said = [turn.reply.say for turn in let_calls_end(short.desk)]
    assert said == ["The call for help failed: it ended with code three: The line is dead. Shout."]
    assert short.state.calling
    wiring.close(short.desk)


def test_an_alarm_does_not_wait_for_a_trial_that_hangs(short: Talk, tmp_path: Path) -> None:
    hangs_when_tried = (
        f"import sys\nif sys.argv[-1].startswith('Trial'):\n    import time\n    time.sleep(60)\n{WRITES}"
    )
    short.desk.caller = wiring.caller(command(tmp_path, hangs_when_tried), 40)
    short.desk.caller.call(trial=True)
    began = time.monotonic()
    short.say("help me")
    assert next(let_calls_end(short.desk)).reply.say == "The call for help went out."
    assert time.monotonic() - began < 20
    assert written(tmp_path) == [HELP]
    wiring.close(short.desk)
    assert time.monotonic() - began < 30


# --- the command line


def test_a_run_tries_the_command_first_and_calls_when_nobody_answers(data: Path, tmp_path: Path) -> None:
    words = shlex.join(command(tmp_path, WRITES))
    done = run(data, "run", *JOB, "--typed", "--json", "--alarm", words, typed=f"{LINES}\n@ +15m\n")
    assert done.returncode == 0, done.stderr
    assert sorted(written(tmp_path)) == sorted([HELP, TRIAL])
    assert tried(done) in ([
        {"kind": "HelpTried", "trial": True, "fault": ""},
        {"kind": "HelpTried", "trial": False, "fault": ""},
    ], [
        {"kind": "HelpTried", "trial": False, "fault": ""},
        {"kind": "HelpTried", "trial": True, "fault": ""},
    ])  # fmt: skip
    assert "The trial call for help worked." in done.stdout
    assert "The call for help went out." in done.stdout


def test_a_trial_that_fails_is_said_and_a_resumed_job_tries_again(data: Path, tmp_path: Path) -> None:
    failing = run(data, "run", *JOB, "--typed", "--alarm", "no-such-command-here", typed=f"{LINES}\n")
    assert failing.returncode == 0
    assert "said:    The trial call failed: the command was not found." in failing.stdout
    words = shlex.join(command(tmp_path, WRITES))
    resumed = run(data, "run", "--resume", "--typed", "--alarm", words, typed="")
    assert "said:    The trial call for help worked." in resumed.stdout
    assert written(tmp_path) == [TRIAL]


def test_the_end_of_the_input_waits_for_a_call_up_to_its_limit(data: Path, tmp_path: Path) -> None:
    words = shlex.join(command(tmp_path, HANGS))
    assert run(data, "alarm", "--set", words, "--seconds", "2").returncode == 0
    began = time.monotonic()
    done = run(data, "run", *JOB, "--typed", "--alarm", words, typed="what can I say\n")
    assert time.monotonic() - began < 30
    assert "The trial call failed: it took longer than two seconds." in done.stdout


def test_what_is_typed_calls_by_the_kept_command_no_one(data: Path, tmp_path: Path) -> None:
    run(data, "alarm", "--set", shlex.join(command(tmp_path, WRITES)))
    for more in ((), ("--no-alarm",)):
        done = run(data, "run", *JOB, "--typed", *more, typed=f"{LINES}\n@ +15m\n")
        assert "I raise the alarm" in done.stdout
        assert "assistant alarm" not in done.stderr
    assert written(tmp_path) == []


def deaf(data: Path, *options: str) -> str:
    """Run with a microphone that is not there until that is told, end it by Ctrl-C, and return its notes."""
    command = [*COMMAND, "run", *JOB, *options, "--data", str(data)]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # tests in the background ignore it
    )  # fmt: skip
    assert process.stdout
    while (line := process.stdout.readline()) and "microphone" not in line:
        pass  # where there are other microphones, or no PortAudio, it ends by itself
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    _, notes = process.communicate(timeout=60)
    assert process.returncode in (1, 130)
    return notes


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C can't be sent there")
def test_a_run_that_hears_nothing_goes_on_until_ctrl_c_and_says_once_how_to_set_a_command(data: Path) -> None:
    microphone = ("--silent", "--microphone", "no such microphone")
    notes = deaf(data, *microphone)
    assert notes.count("Set one with: assistant alarm --set") == 1
    assert "microphone" in notes or "PortAudio" in notes
    assert "assistant alarm --set" not in deaf(data, "--no-alarm", *microphone)


def test_a_run_with_a_microphone_tries_the_kept_command(short: Talk, data: Path, tmp_path: Path) -> None:
    words = command(tmp_path, WRITES)
    alarm.keep(data, shlex.join(words), None)
    notes: list[str] = []
    alarm.take_care(short.desk, alarm.care(data, None, off=False, typed=False, recorded=False), notes.append)
    assert [turn.reply.say for turn in let_calls_end(short.desk)] == ["The trial call for help worked."]
    assert (written(tmp_path), notes) == ([TRIAL], [])
    wiring.close(short.desk)
    for off, recorded in ((True, False), (False, True)):
        assert alarm.care(data, None, off=off, typed=False, recorded=recorded).words == ()
    with pytest.raises(DataError, match="sound files call nobody"):
        alarm.care(data, "call", off=False, typed=False, recorded=True)


def test_it_is_set_shown_tried_and_forgotten(data: Path, tmp_path: Path) -> None:
    assert "Set one with: assistant alarm --set" in run(data, "alarm").stdout
    unset = {"command": None, "seconds": 30, "check_in_minutes": 10}
    assert json.loads(run(data, "alarm", "--json").stdout) == unset
    words = shlex.join((*command(tmp_path, WRITES), "a number"))
    kept = run(data, "alarm", "--set", words, "--seconds", "20", "--json")
    assert json.loads(kept.stdout) == {
        "command": words, "seconds": 20, "check_in_minutes": 10, "kept": str(data / "settings.yaml"),
    }  # fmt: skip
    assert f"command: {words}" in run(data, "alarm").stdout
    assert written(tmp_path) == []
    done = run(data, "alarm", "--try")
    assert (done.returncode, done.stdout) == (0, "The trial call for help worked.\n")
    assert written(tmp_path) == [f"a number|{TRIAL}"]
    assert run(data, "alarm", "--clear").returncode == 0
    assert json.loads(run(data, "alarm", "--json").stdout) == unset


def test_a_trial_that_fails_is_an_error(data: Path, tmp_path: Path) -> None:
    run(data, "alarm", "--set", shlex.join(command(tmp_path, FAILS)))
    done = run(data, "alarm", "--try")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == "error: the trial call failed: it ended with code three: The line is dead\n"


def test_setting_the_command_keeps_the_other_settings(data: Path) -> None:
    (data / "settings.yaml").write_text("check-in-minutes: 7\n", encoding="utf-8")
    run(data, "alarm", "--set", "call me")
    assert yaml.safe_load((data / "settings.yaml").read_text(encoding="utf-8")) == {
        "alarm": {"command": "call me"}, "check-in-minutes": 7,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("alarm", "--set", "call 'me"), "a quote in it is not closed"),
        (("alarm", "--set", " "), "a command is empty"),
        (("alarm", "--set", "./call.sh"), "write its whole path"),
        (("alarm", "--set", "call", "--seconds", "0"), "greater than or equal to 1"),
        (("alarm", "--seconds", "5"), "--seconds goes with --set"),
        (("alarm", "--try"), "Set one with: assistant alarm --set"),
        (("run", *JOB, "--typed", "--alarm", "call 'me"), "a quote in it is not closed"),
        (("run", *JOB, "--typed", "--alarm", "call", "--no-alarm"), "not allowed with"),
    ],
)
def test_what_can_not_be_set_says_why(data: Path, arguments: tuple[str, ...], said: str) -> None:
    done = run(data, *arguments, typed="")
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (data / "settings.yaml").exists()
    assert not (data / "journal.sqlite").exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("alarm:\n  command: ./call.sh\n", ":2:12: fault [form] alarm.command: './call.sh' is another file"),
        (
            "alarm: {command: call, seconds: 301}\n",
            ":1:33: fault [form] alarm.seconds: Input should be less than or equal to 300",
        ),
        ("\ncheck-in-minutes: 3\n", ":2:19: fault [form] check-in-minutes: Input should be greater than or equal to 5"),
        ("check-in-minutes: 31\n", ":1:19: fault [form] check-in-minutes: Input should be less than or equal to 30"),
        ("check-in: 7\n", ":1:11: fault [form] check-in: no such field is known here"),
        ("alarm: [\n", ":2:1: fault [yaml]"),
        ("call me\n", ":1:1: fault [form] the whole: it has fields of its own"),
    ],
)
def test_wrong_settings_name_file_line_field_and_the_way_out(data: Path, text: str, said: str) -> None:
    (data / "settings.yaml").write_text(text, encoding="utf-8")
    for arguments in (("alarm",), ("run", *JOB, "--typed"), ("alarm", "--set", "call")):
        done = run(data, *arguments, typed="")
        assert done.returncode == 2
        assert f"settings.yaml{said}" in done.stderr
        assert "Put it right there" in done.stderr
        assert not (data / "journal.sqlite").exists()
    assert (data / "settings.yaml").read_text(encoding="utf-8") == text


def test_the_first_interval_is_a_setting(data: Path) -> None:
    def asked_after(minutes: int) -> bool:
        done = run(data, "run", *JOB, "--typed", typed=f"{LINES}\n@ +{minutes}m\n")
        return "Are you all right?" in done.stdout

    (data / "settings.yaml").write_text("# nothing set\n", encoding="utf-8")
    assert (asked_after(9), asked_after(10)) == (False, True)
    (data / "settings.yaml").write_text("check-in-minutes: 5\n", encoding="utf-8")
    assert (asked_after(4), asked_after(5)) == (False, True)
