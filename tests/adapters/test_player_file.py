"""The speech file: what it holds, what is left of it after a crash, and what is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.player_file import PAUSE, FilePlayer
from assistant.core.errors import DeviceError
from assistant.core.types import RATE

CRASH = """
import os, sys
from pathlib import Path
import numpy as np
from assistant.adapters.player_file import FilePlayer
player = FilePlayer(Path(sys.argv[1]))
for _ in range(5):
    player.play(np.sin(np.arange(16000) / 9).astype(np.float32) / 2)
os._exit(1)
"""


def readable(path: Path) -> int:
    """Count the samples that can be read one after another, as a media player does."""
    count = 0
    with soundfile.SoundFile(path) as file:
        try:
            while len(piece := file.read(1024)):
                count += len(piece)
        except soundfile.LibsndfileError:
            return count
    return count


@pytest.mark.parametrize(("suffix", "lost"), [(".wav", 0.0), (".flac", 0.3)])
def test_what_was_played_before_a_crash_can_be_read(tmp_path: Path, suffix: str, lost: float) -> None:
    path = tmp_path / f"speech{suffix}"
    done = subprocess.run([sys.executable, "-c", CRASH, str(path)], check=False)
    assert done.returncode == 1
    assert 5 * (1 + PAUSE) - readable(path) / RATE <= lost


def test_both_sides_of_a_talk_lie_one_after_the_other(tmp_path: Path) -> None:
    player = FilePlayer(tmp_path / "new" / "talk.wav")
    theirs, ours = np.full(RATE, 0.25, np.float32), np.full(RATE, -0.5, np.float32)
    player.add(theirs)
    player.gap(0.5)
    player.play(ours)
    player.close()
    samples, rate = soundfile.read(tmp_path / "new" / "talk.wav")
    expected = np.concatenate([theirs, np.zeros(RATE // 2), ours, np.zeros(int(PAUSE * RATE))])
    assert rate == RATE
    assert np.abs(samples - expected).max() < 1e-3
    assert player.seconds == pytest.approx(len(expected) / RATE)


@pytest.mark.parametrize("name", ["speech", "speech.mp3"])
def test_other_formats_are_refused_with_those_allowed(tmp_path: Path, name: str) -> None:
    with pytest.raises(DeviceError, match=r"\.wav or \.flac"):
        FilePlayer(tmp_path / name)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_said(tmp_path: Path) -> None:
    (tmp_path / "speech.wav").symlink_to("/dev/full")
    with pytest.raises(DeviceError, match=r"speech\.wav can't be written"):
        FilePlayer(tmp_path / "speech.wav").play(np.ones(RATE, np.float32))
