"""The demonstration, whole: recorded sound through the real recogniser to the journal and the speech file."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from tests.listing import files, holding, is_sound, own_home


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[dict]]:
    out = tmp_path_factory.mktemp("demo")
    command = [sys.executable, "-m", "assistant", "demo", "--json", "--out", str(out)]
    home = own_home(out.parent / "home")
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=900, env=home)
    assert done.returncode == 0, done.stderr
    return out, [json.loads(line) for line in done.stdout.splitlines()]


def kinds(reply: dict) -> list[str]:
    return [event["kind"] for event in reply["events"]]


def test_it_ends_with_nothing_open_and_both_torques(played: tuple[Path, list[dict]]) -> None:
    _, replies = played
    assert replies[-1]["waiting_for"] == "finished"
    assert replies[-1]["open"] == []
    given = [event for reply in replies for event in reply["events"] if event["kind"] == "TorqueGiven"]
    assert [event["value"] for event in given] == ["30 N·m", "25 N·m"]


def test_it_shows_what_can_happen(played: tuple[Path, list[dict]]) -> None:
    _, replies = played
    seen = {kind for reply in replies for kind in kinds(reply)}
    assert {"LeftAlone", "NotUnderstood", "Refused", "StepReopened", "ReadingWithdrawn", "TimerEnded"} <= seen
    asked = {event["topic"] for reply in replies for event in reply["events"] if event["kind"] == "Asked"}
    assert {"torque", "open", "time", "source"} <= asked
    levels = [event["value"]["said"] for reply in replies for event in reply["events"]
              if event["kind"] == "ReadingTaken" and event["name"] == "oil-level"]  # fmt: skip
    assert levels == ["near the low mark", "at three quarters"]
    assert any("zero point seven litres" in reply["say"] for reply in replies)


def test_a_skipped_safety_check_is_refused(played: tuple[Path, list[dict]]) -> None:
    _, replies = played
    [refused] = [reply for reply in replies if reply["intent"] == "skip"]
    assert kinds(refused) == ["Refused"]
    assert refused["waiting_for"].startswith("evidence:under-car/")


def test_talk_for_somebody_else_gets_silence(played: tuple[Path, list[dict]]) -> None:
    _, replies = played
    left = [reply for reply in replies if kinds(reply) == ["LeftAlone"]]
    assert left
    assert all(reply["say"] == "" for reply in left)


def test_journal_speech_and_report_are_there(played: tuple[Path, list[dict]]) -> None:
    out, _ = played
    assert (out / "journal.sqlite").stat().st_size > 10_000
    with soundfile.SoundFile(out / "speech.flac") as speech:
        assert speech.frames / speech.samplerate > 300
    [report] = out.glob("*-oil-and-filter.txt")
    assert "still open: nothing" in report.read_text(encoding="utf-8")


def test_it_leaves_no_other_sound_and_no_word_that_was_not_for_it(played: tuple[Path, list[dict]]) -> None:
    out, replies = played
    free = [reply["heard"] for reply in replies for kind in kinds(reply) if kind in ("LeftAlone", "NotUnderstood")]
    assert len(free) >= 2
    assert [path.name for path in files(out) if is_sound(path)] == ["speech.flac"]
    assert holding(files(out), *free) == []
    assert files(out.parent / "home") == []
