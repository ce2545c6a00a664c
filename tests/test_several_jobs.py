"""Several unfinished jobs: listed, called by words and by voice, named, put away, deleted. All are invented."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant import wiring
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.commands import cli
from assistant.commands.choosing import AGAIN_AFTER, PATIENCE, UNCLEAR, Choice, choose
from assistant.core.hearing.verdict.found import Match
from assistant.core.job.which_job import Offer, phrases
from assistant.core.types import RATE, Hypothesis, Verdict
from assistant.shelf import offered

HATCHBACK, PICKUP = "tarnwick-plover-16", "bannockfield-heron-25"


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """Two unfinished jobs, of the pickup the one that was heard last."""
    begin(tmp_path, HATCHBACK, "", monkeypatch)
    begin(tmp_path, PICKUP, "fifty thousand miles\n", monkeypatch)
    capsys.readouterr()
    return tmp_path


def begin(data: Path, vehicle: str, typed: str, monkeypatch: pytest.MonkeyPatch) -> None:
    (data / "lines.txt").write_text(typed, encoding="utf-8")
    with (data / "lines.txt").open(encoding="utf-8") as lines:
        monkeypatch.setattr("sys.stdin", lines)
        assert cli.main(["run", "oil-and-filter", "--vehicle", vehicle, "--typed", "--data", str(data)]) == 0


def run(
    data: Path, typed: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: str
) -> tuple[int, list[dict[str, object]], str]:
    """Run the program, and return its exit code, its records and its notes."""
    (data / "lines.txt").write_text(typed, encoding="utf-8")
    with (data / "lines.txt").open(encoding="utf-8") as lines:
        monkeypatch.setattr("sys.stdin", lines)
        code = cli.main(["run", *words, "--typed", "--json", "--data", str(data)])
    said = capsys.readouterr()
    return code, [json.loads(line) for line in said.out.splitlines()], said.err


def jobs(data: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, list[dict[str, str]], str]:
    """Run the command `jobs`."""
    code = cli.main(["jobs", *words, "--json", "--data", str(data)])
    said = capsys.readouterr()
    found = json.loads(said.out) if said.out else []
    return code, found if isinstance(found, list) else [found], said.err


@pytest.mark.parametrize(
    ("typed", "step"),
    [
        ("carry on with the oil of the pickup\n", "supplies-spin-on"),
        ("the plover\n", "odometer"),
        ("the second one\n", "odometer"),
        ("what\nthe first one\n", "supplies-spin-on"),
        ("not the pickup\nthe plover\n", "odometer"),
        ("say that again\nnumber two\n", "odometer"),
        ("neither\nwhat can I say\nthe plover\n", "odometer"),
    ],
)
def test_at_the_start_it_asks_which_one_and_takes_up_the_one_that_is_called(
    data: Path, typed: str, step: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, records, notes = run(data, typed, monkeypatch, capsys)
    assert code == 0
    assert str(records[0]["say"]).startswith("Two jobs are unfinished. First: engine oil and filter change of the Ban")
    assert records[-1]["step"] == step
    assert notes.count("unfinished: ") >= 2
    if "again" in typed:
        assert records[1] == records[0]


@pytest.mark.parametrize(
    ("words", "step"),
    [
        (("--resume",), "supplies-spin-on"),
        (("--resume", "--vehicle", HATCHBACK), "odometer"),
        (("oil-and-filter", "--resume", "--vehicle", HATCHBACK), "odometer"),
        (("--vehicle", HATCHBACK), "odometer"),
        (("--resume", "plover"), "odometer"),
        (("--resume", "the oil of the pickup"), "supplies-spin-on"),
    ],
)
def test_a_job_is_taken_up_by_its_name_and_by_its_vehicle(
    data: Path, words: tuple[str, ...], step: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, records, _ = run(data, "", monkeypatch, capsys, *words)
    assert (code, records[-1]["step"]) == (0, step)
    assert len(offered(wiring.journal(data))) == 2  # none was begun


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--resume", "oil"), "calls 2 jobs"),
        (("--resume", "brakes"), "no job is called 'brakes'"),
        (("--resume", "../journal"), "no job is called"),
        (("--resume", "--vehicle", "nobody"), "nobody"),
    ],
)
def test_what_calls_no_job_or_two_is_refused_in_words(
    data: Path, words: tuple[str, ...], complaint: str, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    code, records, notes = run(data, "", monkeypatch, capsys, *words)
    assert (code, records) == (2, [])
    assert complaint in notes


def test_jobs_are_listed_named_and_put_away(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, found, _ = jobs(data, capsys)
    assert (code, [one["vehicle"] for one in found]) == (0, [PICKUP, HATCHBACK])
    _, [named], _ = jobs(data, capsys, "rename", "pickup", "  Friday's   change ")
    assert (named["name"], named["title"]) == ("Friday's change", "Friday's change")
    assert jobs(data, capsys, "show", "friday")[1] == [named]
    _, [away], _ = jobs(data, capsys, "put-away", "friday")
    assert away["state"] == "put away"
    assert [one["vehicle"] for one in jobs(data, capsys)[1]] == [HATCHBACK]
    assert len(jobs(data, capsys, "list", "--all")[1]) == 2
    assert jobs(data, capsys, "rename", "friday", "")[1][0]["name"] == ""
    assert jobs(data, capsys, "rename", "plover", "x" * 61)[0] == 2


def test_a_job_that_was_put_away_is_offered_again_once_it_was_taken_up(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs(data, capsys, "put-away", "pickup")
    code, records, _ = run(data, "", monkeypatch, capsys)
    assert (code, records[-1]["step"], len(records)) == (0, "odometer", 1)  # nothing to be asked
    run(data, "", monkeypatch, capsys, "--resume", "pickup")
    assert [one["vehicle"] for one in jobs(data, capsys)[1]] == [PICKUP, HATCHBACK]


@pytest.mark.parametrize(("answer", "code", "left"), [("yes\n", 0, 1), ("no\n", 1, 2), ("", 1, 2)])
def test_a_job_is_deleted_only_after_a_question(
    data: Path, answer: str, code: int, left: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (data / "lines.txt").write_text(answer, encoding="utf-8")
    with (data / "lines.txt").open(encoding="utf-8") as lines:
        monkeypatch.setattr("sys.stdin", lines)
        got, _, notes = jobs(data, capsys, "delete", "pickup")
    assert got == code
    assert "Delete this job for ever?" in notes
    assert len(jobs(data, capsys, "list", "--all")[1]) == left


def test_what_was_deleted_is_no_longer_in_the_file(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert b"bannockfield" in (data / "journal.sqlite").read_bytes().lower()
    code, [gone], _ = jobs(data, capsys, "delete", "pickup", "--yes")
    assert (code, gone["state"]) == (0, "deleted")
    assert b"bannockfield" not in (data / "journal.sqlite").read_bytes().lower()
    assert wiring.journal(data).damage(jobs(data, capsys)[1][0]["id"]) is None


OFFERS = (Offer("1", "Engine oil and filter change", "Heron", "Tools"),
          Offer("2", "Engine oil and filter change", "Plover", "Tools"))  # fmt: skip
NOTHING = (None, 1.0)


def test_who_is_silent_is_asked_once_more_and_then_the_job_heard_last_is_taken_up() -> None:
    said: list[str] = []
    assert choose(OFFERS, [NOTHING] * int(PATIENCE + 2), said.append) == Choice("1")
    assert len(said) == 2
    assert said[0] == said[1]
    assert choose(OFFERS, [NOTHING] * int(AGAIN_AFTER), said.append) is None  # the sound ends before
    assert len(said) == 3


def test_where_nothing_more_comes_no_job_is_taken_up(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = [one["id"] for one in jobs(data, capsys)[1]]
    for typed in ("", "the third one\n", "not the first one\n"):
        code, records, notes = run(data, typed, monkeypatch, capsys)
        assert (code, len(records)) == (2, 1 + bool(typed))
        assert "nobody said which job" in notes
    assert [one["id"] for one in jobs(data, capsys)[1]] == before


def test_who_calls_for_help_before_there_is_a_job_is_heard_at_once(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (data / "call.sh").write_text(f'#!/bin/sh\necho "$1" >> {data / "called"}\n', encoding="utf-8")
    (data / "call.sh").chmod(0o700)
    code, records, _ = run(data, "help me\n", monkeypatch, capsys, "--alarm", str(data / "call.sh"))
    assert code == 0
    assert any("call for help" in str(one["say"]).lower() for one in records[1:])
    assert "Help is needed" in (data / "called").read_text(encoding="utf-8")


def test_what_is_not_clear_is_asked_again() -> None:
    said: list[str] = []
    book = wiring.phrasebook({})
    second = book.read(Hypothesis("the second one", 0.0, "typed"), phrases(OFFERS))
    unclear = Match(Verdict.UNCLEAR)
    assert choose(OFFERS, [(unclear, 0.0), NOTHING, (second, 0.0)], said.append) == Choice("2")
    assert said[1:] == [UNCLEAR]


def test_it_is_called_by_voice(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    voice, files = Pyttsx3Speech(), []
    for number, text in enumerate(("Carry on with the oil of the Plover.", "Where am I?")):
        sound = np.pad(voice.render(text), (RATE // 2, RATE))
        files.append(tmp_path / f"{number}.wav")
        hiss = np.random.default_rng(number).normal(scale=1e-4, size=len(sound))
        soundfile.write(files[-1], (sound + hiss).astype(np.float32), RATE)
    voice.close()
    assert cli.main(["run", "--sound", *map(str, files), "--json", "--data", str(data)]) == 0
    records = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert "Which one do you carry on with?" in records[0]["say"]
    assert {record["step"] for record in records[1:]} == {"odometer"}
    assert len(records) == 3
