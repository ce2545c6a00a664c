"""The child process that renders speech, spoken to as its parent does: over its pipes, with the real library."""

from __future__ import annotations

import json
import subprocess
import sys
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.adapters import speech_child


@pytest.fixture
def child(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    folder = tmp_path / "sounds"
    folder.mkdir()
    with subprocess.Popen(
        [sys.executable, "-P", speech_child.__file__, str(folder)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, encoding="utf-8",
    ) as process:  # fmt: skip
        yield process
        process.kill()


def ask(child: subprocess.Popen[str], folder: Path, text: str, voice: str = "") -> dict[str, str]:
    """Hand over one text and return the answer; every line that comes has to be one."""
    assert child.stdin and child.stdout
    request = {"text": text, "file": str(folder / "sounds" / "one.wav"), "rate": 145, "voice": voice}
    child.stdin.write(json.dumps(request) + "\n")
    child.stdin.flush()
    answer = json.loads(child.stdout.readline())
    assert isinstance(answer, dict)
    return answer


linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the library may be late or hang")


@linux
def test_a_text_is_whole_when_it_is_answered_also_right_after_a_long_one(
    child: subprocess.Popen[str], tmp_path: Path
) -> None:
    """Long texts in a row were seen to come out empty, one in some eighty, where the library was not waited for."""
    text = "Next step. " * 27
    lengths = []
    for _ in range(120):
        with wave.open(ask(child, tmp_path, text)["file"]) as sound:
            lengths.append(sound.getnframes() / sound.getframerate())
    assert min(lengths) > 27 * 0.5
    assert max(lengths) - min(lengths) < 0.1


@linux
def test_an_unknown_voice_is_a_fault_and_no_other_voice_speaks(child: subprocess.Popen[str], tmp_path: Path) -> None:
    assert "no-such-voice" in ask(child, tmp_path, "One.", voice="no-such-voice")["fault"]
    assert "file" in ask(child, tmp_path, "One.", voice="en-us")


def test_it_ends_and_leaves_nothing_when_its_parent_goes(child: subprocess.Popen[str], tmp_path: Path) -> None:
    ask(child, tmp_path, "One.")
    assert list(tmp_path.iterdir())
    assert child.stdin
    child.stdin.close()
    assert child.wait(timeout=10) == 0
    assert not list(tmp_path.iterdir())


LOSING = """
import sys
import soundfile
from assistant.adapters.speech_child import Renderer
renderer = Renderer()
keep, lost = renderer._engine.setProperty, int(sys.argv[2])
def lose(name, value):
    global lost
    if name == "rate" and lost:
        lost -= 1
        return
    keep(name, value)
renderer._engine.setProperty = lose
renderer.render({"text": "Thirty newton metres.", "file": sys.argv[1], "rate": 145, "voice": ""})
print(soundfile.info(sys.argv[1]).frames)
"""


def _frames(tmp_path: Path, lost: int) -> subprocess.CompletedProcess[str]:
    """Render with the real library in a process in which the first commands that set the rate are lost."""
    command = [sys.executable, "-c", LOSING, str(tmp_path / f"{lost}.wav"), str(lost)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=30)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only this library can be asked for its rate")
def test_a_rate_that_was_lost_is_set_again(tmp_path: Path) -> None:
    whole, again = (int(_frames(tmp_path, lost).stdout.split()[-1]) for lost in (0, 1))
    assert again == pytest.approx(whole, rel=0.001)  # at 200 words a minute it is 30 % shorter
    never = _frames(tmp_path, 99)
    assert never.returncode != 0
    assert "200 words a minute, not 145" in never.stderr
