"""What surrounds the program fails it: input, output, files, names, signals. One line, an exit code, no job is lost."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from assistant import wiring
from assistant.adapters.grammar_file import read_grammar
from assistant.adapters.library import RESERVED, Library, user_file
from assistant.commands import cli
from assistant.commands import run as the_run
from assistant.core.errors import DataError
from assistant.core.job.simulated_time import LONGEST, seconds_of
from assistant.path import typed
from assistant.shelf import offered
from assistant.system import ending
from assistant.system.plain_file import LARGEST, read_text, short
from tests.benchmarks.broken_files import broken
from tests.talk import EVIDENCE, READY, Talk

COMMAND = (sys.executable, "-m", "assistant")
JOB = ("run", "oil-and-filter", "--vehicle", "tarnwick-plover-16", "--typed")
COMMANDS = (JOB, ("list", "jobs"), ("journal",), ("work-out", "--list"), ("told",), ("alarm",), ("models",),
            ("--help",), ("tune", "--list"))  # fmt: skip
POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes, devices and signals of another system")


def of(done: subprocess.CompletedProcess[bytes]) -> str:
    """What a run complained of; never a traceback, and never a fault of its own."""
    said = done.stderr.decode("utf-8", "replace")
    assert "Traceback" not in said, said
    assert "a fault of this program" not in said, said
    assert "Exception ignored" not in said, said
    return said


def run(*words: str, given: bytes = b"", **more: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([*COMMAND, *words], input=given, stderr=subprocess.PIPE,
                          stdout=more.pop("stdout", subprocess.PIPE), check=False, timeout=120, **more)  # fmt: skip


# --- what is typed -----------------------------------------------------------------------------------------------

TYPED = {
    "latin-1": ("nächster schritt\n".encode("latin-1"), "line 1: it is not written in UTF-8"),
    "utf-16 with its mark": ("next step\n".encode("utf-16"), "line 1: it is not written in UTF-8"),
    "utf-16 without": ("next step\n".encode("utf-16-le"), "line 1: it holds a NUL"),
    "a NUL in the second line": (b"what can I say\nnext\0step\n", "line 2: it holds a NUL"),
    "ten megabytes in a line": (b"a" * 10_000_000, "line 1: it is longer than 120 bytes"),
    "far too much time": (b"\n\n@ +999999999h\n", "line 3: '@ +999999999h' is more than 24 hours"),
    "time backwards": (b"@ +-1h\n", "line 1: '@ +-1h' lets no time pass"),
    "more digits than a number has": (b"@ +" + b"9" * 110 + b"h\n", "is more than 24 hours"),
}


@pytest.mark.parametrize("name", [*TYPED])
def test_what_is_no_line_ends_the_reading_and_keeps_the_job(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    content, said = TYPED[name]
    file = tmp_path / "typed"
    file.write_bytes(content)
    with file.open("r", encoding="utf-8") as stream:
        monkeypatch.setattr(sys, "stdin", stream)
        assert cli.main([*JOB, "--data", str(tmp_path)]) == 2
    complaint = capsys.readouterr().err.strip()
    assert said in complaint
    assert complaint.count("\n") == 0
    assert complaint.endswith(ending.KEPT)
    assert offered(wiring.journal(tmp_path))


def test_closed_input_is_said_and_keeps_the_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert cli.main([*JOB, "--data", str(tmp_path)]) == 2
    assert "standard input is closed" in capsys.readouterr().err


def test_signs_that_nobody_types_are_spaces(tmp_path: Path) -> None:
    file = tmp_path / "typed"
    file.write_bytes("\ufeffnext\tstep\x07\r\n".encode())
    with file.open(encoding="utf-8") as stream:
        assert [text for _, text in typed.lines_of(stream)] == ["next step"]


@pytest.mark.parametrize("line", ["@", "@ +", "@ +h", "@ +1", "@ -1h", "@ +1e9h", "@ +1d", "@ +nans", "@ +infh"])
def test_a_line_that_lets_no_time_pass_says_how(line: str) -> None:
    with pytest.raises(DataError, match=r"Write for instance: @ \+10m"):
        seconds_of(line)
    assert seconds_of("@ +24h") == LONGEST


# --- where it is shown -------------------------------------------------------------------------------------------


@POSIX
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_full_disk_behind_the_output_is_one_line(words: tuple[str, ...], tmp_path: Path) -> None:
    data = ("--data", str(tmp_path)) if words[0] in ("run", "journal", "told", "alarm") else ()
    if words[0] == "journal":
        run(*JOB, "--data", str(tmp_path))
    with Path("/dev/full").open("wb") as full:
        done = run(*words, *data, stdout=full)
    assert done.returncode == 1
    said = of(done)
    if words[0] != "--help":
        assert said.strip().splitlines() == [
            f"Stopped: the output can't be written (No space left on device).{f' {ending.KEPT}' * (words == JOB)}"
        ]
    if words == JOB:
        assert offered(wiring.journal(tmp_path))


@POSIX
def test_a_reader_that_goes_away_stops_the_job_and_keeps_it(tmp_path: Path) -> None:
    ours, theirs = os.pipe()
    child = subprocess.Popen([*COMMAND, *JOB, "--data", str(tmp_path)], stdin=subprocess.PIPE, stdout=theirs,
                             stderr=subprocess.PIPE)  # fmt: skip
    os.close(theirs)
    os.read(ours, 1)
    os.close(ours)
    _, said = child.communicate(b"what can I say\n", timeout=60)
    assert child.returncode == 1
    assert said.decode().strip() == f"Stopped: the output can't be written (Broken pipe). {ending.KEPT}"


@POSIX
def test_both_outputs_full_or_closed_keep_the_job(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run([*COMMAND, *JOB, "--data", str(tmp_path)], input=b"", stdout=full, stderr=full,
                              check=False, timeout=60)  # fmt: skip
    assert done.returncode == 1
    closed = subprocess.run([*COMMAND, "run", "--resume", "--typed", "--data", str(tmp_path)], input=b"next step\n",
                            check=False, timeout=60, preexec_fn=lambda: (os.close(1), os.close(2)))  # fmt: skip
    assert closed.returncode == 0
    [job] = offered(wiring.journal(tmp_path))
    assert job is not None
    assert job.state.events > 3


def test_an_output_of_few_letters_gets_the_others_in_another_way(tmp_path: Path) -> None:
    done = run("work-out", "convert", "value=25 N·m", "to=lbf·ft", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert of(done) == ""
    assert b"lbf\\xb7ft" in done.stdout


@POSIX
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_signal_to_stop_keeps_the_job_and_says_how_to_go_on(name: str, tmp_path: Path) -> None:
    number = getattr(signal, name)
    child = subprocess.Popen(
        [*COMMAND, *JOB, "--data", str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, preexec_fn=lambda: signal.signal(number, signal.SIG_DFL),
    )  # fmt: skip
    assert child.stdout
    child.stdout.readline()
    child.send_signal(number)
    _, said = child.communicate(timeout=30)
    assert child.returncode == 128 + number
    assert said.decode().strip() == f"Stopped. {ending.KEPT}"


def test_a_fault_of_the_program_is_one_line_and_its_place_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(run: object, desk: object) -> object:
        raise KeyError("oil-grade")

    monkeypatch.setattr(the_run.Run, "typed", fails)
    assert cli.main([*JOB, "--data", str(tmp_path)]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "a fault of this program (KeyError: 'oil-grade')" in said
    assert ending.KEPT in said
    assert "in fails" in (tmp_path / "faults.txt").read_text(encoding="utf-8")


class Voice:
    """A voice and a loudspeaker that only keep what is said."""

    name = "kept"
    playing = False

    def __init__(self) -> None:
        self.said: list[str] = []

    def render(self, text: str) -> object:
        self.said.append(text)
        return np.array([0.1, -0.1], dtype=np.float32)

    def play(self, samples: object, tone: object) -> None:
        self.played = samples

    def prepare(self, text: str) -> None:
        """Prepare nothing."""


def test_who_may_be_under_the_car_hears_that_nobody_listens_any_more(talk: Talk) -> None:
    voice = Voice()
    talk.desk.mouth.speech = talk.desk.mouth.player = voice  # type: ignore[assignment]
    the_run.say_goodbye(talk.desk)
    assert voice.said == []
    talk.say(f"{READY} / {EVIDENCE}")
    voice.said.clear()
    the_run.say_goodbye(talk.desk)
    assert voice.said == [the_run.GOODBYE]


def test_a_job_with_a_voice_goes_on_when_nobody_takes_the_output(
    talk: Talk,
) -> None:
    def lost(text: str) -> None:
        raise ending.OutputLost("Broken pipe")

    notes: list[str] = []
    with pytest.raises(ending.OutputLost):
        the_run.shown(talk.desk, lost, notes.append)("a line")
    talk.desk.mouth.player = Voice()  # type: ignore[assignment]
    show = the_run.shown(talk.desk, lost, notes.append)
    show("a line")
    show("another")
    [note] = notes
    assert "the job goes on by voice" in note


# --- files -------------------------------------------------------------------------------------------------------

CAR = "id: mine\ntitle: Mine\nabout: x\nunits: metric\n"
DEEP = "[" * 10_000
LAUGHS = "a: &a [x, x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(20)
)
BROKEN = {
    "deep": (DEEP, ":1:41: fault [yaml] the whole: it is no YAML that can be used: more than 40 lists"),
    "deep mappings": ("{a: " * 5_000, "more than 40 lists"),
    "aliases": (LAUGHS, "it is no YAML that can be used: it holds more than 50000 values"),
    "an alias of itself": (
        "a: &a [*a]\n",
        ":1:8: fault [yaml] the whole: it is no YAML that can be used: an alias stands for what it is itself",
    ),
    "no such day": (f"{CAR}tags: 2026-02-30\n", "it is no YAML that can be used: day is out of range"),
    "a number without end": (f"{CAR}tags: {'9' * 5000}\n", "it is no YAML that can be used"),
    "a tag": ("!!python/object/apply:os.system [echo]\n", "could not determine a constructor"),
    "a time that is none": ("a: !!timestamp x\n", "it is no YAML that can be used"),
    "a key twice": (
        f"{CAR}units: us\n",
        ":5:1: fault [key-twice] the whole: it is no YAML that can be used: 'units' is given twice. Give it once",
    ),
    "a list as a key": ("? [a]\n: b\n", "a key has to be a word"),
    "a control sign": ("a: \x01\n", "it is no YAML that can be used"),
    "NUL": ("a: \0\n", "it is no YAML that can be used"),
    "nothing": ("", "the whole"),
    "a word": ("word", "the whole"),
    "many documents": ("a: 1\n---\nb: 2\n", ":2:1: fault [yaml]"),
    "a number for a text": (f"{CAR}notes: 5\n", ":5:8: fault [form] notes"),
}


@pytest.mark.parametrize("name", [*BROKEN])
def test_a_file_that_is_broken_is_refused_with_its_line(name: str, tmp_path: Path) -> None:
    content, said = BROKEN[name]
    file = tmp_path / "mine.yaml"
    file.write_text(content, encoding="utf-8")
    began = time.monotonic()
    with pytest.raises(DataError) as refused:
        Library().vehicle(str(file))
    assert said in str(refused.value)
    assert str(file) in str(refused.value)
    assert len(str(refused.value)) < 2_000
    assert time.monotonic() - began < 20  # a second or two, on a machine that is not busy


TEXTS = {
    "a brace that is not closed": ("to {plug-torque}.", "to {plug-torque.", "a brace is not closed"),
    "a brace that closes nothing": ("to {plug-torque}.", "to plug-torque}.", "or closes nothing"),
    "a name that nobody knows": ("Tighten it to {plug-torque}.", "To {plugtorque}.", "{plugtorque} is no value"),
    "a format of its own": ("{plug-torque}", "{plug-torque:>9}", "{plug-torque:>9} is no value"),
    "a phrase that is not closed": ("title: Last,", 'title: Last, done: ["[the (off"],', "the phrase can't be read"),
    "a phrase of unknown rules": ("title: Last,", 'title: Last, done: ["<nobody> is off"],', "refers to <nobody>"),
    "a phrase of deep groups": ("title: Last,", f'title: Last, done: ["{"(" * 5000}"],', "stand inside each other"),
    "a torque that nobody could tell": ("torque: plug-torque", "torque: other", "'other' is not among"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*TEXTS])
def test_a_job_whose_texts_are_wrong_is_refused_when_it_is_read(name: str, tmp_path: Path) -> None:
    from tests.short_job import JOB as SHORT

    before, now, said = TEXTS[name]
    assert before in SHORT
    file = tmp_path / "short.yaml"
    file.write_text(SHORT.replace(before, now), encoding="utf-8")
    with pytest.raises(DataError) as refused:
        Library().job(str(file))
    assert said in str(refused.value)
    assert re.search(rf"{re.escape(str(file))}:\d+:\d+: fault \[", str(refused.value))
    file.write_text(SHORT, encoding="utf-8")
    assert Library().job(str(file)).id == "short"


GRAMMARS = (
    "#JSGF V1.0;\npublic <a> = (b;", "public <a> = {b;", "public <a> = [b", 'public <a> = "b;',
    f"public <a> = {'(' * 9999}b;", "#JSGF V1.0 zip;\n", "#JSGF V1.0 utf-16;\npublic <a> = b;",
    "#JSGF V1.0 idna;\npublic <a> = \xe9\xe9..b;", "\0", "#JSGF",
)  # fmt: skip


@pytest.mark.parametrize("text", GRAMMARS, ids=range(len(GRAMMARS)))
def test_a_grammar_that_is_broken_is_refused(text: str, tmp_path: Path) -> None:
    file = tmp_path / "g.jsgf"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match="line"):
        read_grammar(file)


@POSIX
@pytest.mark.parametrize("read", [lambda path: Library().vehicle(str(path)), read_grammar, wiring.read_sound],
                         ids=["yaml", "grammar", "sound"])  # fmt: skip
@pytest.mark.parametrize("kind", ["pipe", "folder", "device", "nothing", "no rights"])
def test_what_is_no_file_is_refused_and_not_waited_for(read, kind: str, tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "no rights":
        path.write_text("a: b")
        path.chmod(0)
        if os.geteuid() == 0:
            pytest.skip("who may do everything may read everything")
    with pytest.raises(DataError, match=r"mine\.yaml"):
        read(path)


def test_a_file_of_many_megabytes_is_not_read(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    with file.open("wb") as large:
        large.truncate(100_000_000)
    with pytest.raises(DataError, match=f"larger than {LARGEST // 1_000_000} MB"):
        Library().vehicle(str(file))


def test_files_broken_at_random_are_refused_or_serve(tmp_path: Path) -> None:
    table = broken(25, 2, tmp_path)
    assert table.unforeseen == []
    became = {head: sum(count for key, count in table.counts.items() if key[2] == head) for head in ("refused", "done")}
    assert became["refused"] > 40
    assert became["done"] > 15  # the rules refuse more than the form does


# --- names -------------------------------------------------------------------------------------------------------

NAMING = (
    ("run", "{}", "--vehicle", "x", "--typed"), ("run", "oil-and-filter", "--vehicle", "{}", "--typed"),
    ("list", "steps", "--job", "{}"), ("journal", "{}"), ("models", "fetch", "{}"),
    ("told", "--vehicle", "{}", "--name", "x", "--set", "1 L"), ("work-out", "{}", "a=b"),
)  # fmt: skip
NAMES = ["../../etc/passwd", "/etc/passwd", "a\0b", "x" * 100_000, "..", ".", "", "a/b", "a\\b", "~", "$HOME", "-"]


@pytest.mark.parametrize("name", [*NAMES, *sorted(RESERVED), "CON"], ids=lambda name: repr(name[:20]))
def test_no_name_of_a_user_leaves_its_folder(name: str, tmp_path: Path) -> None:
    if name == "-":
        assert user_file(tmp_path, name).parent == tmp_path / "users"
        return
    with pytest.raises(DataError) as refused:
        user_file(tmp_path, name)
    assert len(str(refused.value)) < 400


@pytest.mark.parametrize("name", NAMES, ids=lambda name: repr(name[:20]))
@pytest.mark.parametrize("words", NAMING, ids=lambda words: " ".join(words[:3]))
def test_no_name_leads_to_another_folder(
    words: tuple[str, ...], name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ("--data", str(tmp_path / "data")) if words[0] != "work-out" else ()
    given = [word.replace("{}", name) for word in words]
    try:
        code = cli.main([*given, *data])
    except SystemExit as done:  # a name that looks like an option
        code = done.code
    said = capsys.readouterr()
    assert "a fault of this program" not in said.err
    if name or words[0] in ("run", "told"):
        assert code == (1 if words[0] == "work-out" else 2)  # there it is a value that can't be right
    assert {path.name for path in tmp_path.iterdir()} <= {"data"}


@pytest.mark.parametrize("ending_of", ["\0.yaml", f"{'x' * 5000}.yaml", "no/such/folder.yaml", "a.yaml/b.yaml"])
def test_a_path_that_can_be_none_is_said(ending_of: str, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("x", encoding="utf-8")
    with pytest.raises(DataError) as refused:
        read_text(tmp_path / ending_of)
    assert len(str(refused.value)) < 400


@pytest.mark.parametrize(
    "job", ["../../x", "/etc/passwd", "..\\x", "con", "a" * 500, "x\0y", "2026-03-14T09-00-00-oil"]
)
def test_the_report_of_a_job_stays_in_its_folder(job: str, tmp_path: Path) -> None:
    name = wiring.plain_name(job)
    assert (tmp_path / f"{name}.txt").resolve().parent == tmp_path.resolve()
    assert len(name) <= wiring.LONGEST_NAME
    assert name == job or "/" in job or "\\" in job or "\0" in job or len(job) > wiring.LONGEST_NAME
    (tmp_path / f"{name}.txt").write_text("report", encoding="utf-8")
    assert wiring.files_of(job, tmp_path) == [tmp_path / f"{name}.txt"]  # what is deleted with it


def test_a_name_is_shown_in_one_short_line() -> None:
    assert len(short("x" * 10_000)) < 200
    assert "\n" not in short("a\nb")


@pytest.mark.parametrize("words", [
    ("work-out", "next-due", "--calendar", "{}/no/such/x.ics"), ("work-out", "next-due", "--calendar", "{}"),
    ("hear", "--grammar", "{}", "x.wav"), ("hear", "--job", "oil-and-filter", "--step", "../x", "x.wav"),
    ("alarm", "--set", "'", "--data", "{}"), ("alarm", "--data", "{}/file"), ("journal", "--data", "{}/file"),
    ("told", "--data", "{}/file"), ("list", "jobs", "--data", "{}/file"), ("tune", "--user", "../x", "--sound", "x"),
    ("demo", "--out", "{}/file"),
    ("run", "oil-and-filter", "--vehicle", "tarnwick-plover-16", "--typed", "--speech-file", "{}", "--data", "{}"),
], ids=lambda words: " ".join(words)[:60])  # fmt: skip
def test_places_that_can_not_be_used_are_said(
    words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", None)
    try:
        code = cli.main([word.replace("{}", str(tmp_path)) for word in words])
    except SystemExit as done:
        code = done.code
    said = capsys.readouterr().err
    assert "a fault of this program" not in said
    assert code in (0, 1, 2)
    assert bool(said) == (code != 0)
