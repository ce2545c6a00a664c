"""The first talk with a new user, on sound made here, through the real engines."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.core.hearing.verdict.tuning import SENTENCES
from tests.benchmarks.sounds import say

pytestmark = pytest.mark.skipif(shutil.which("flite") is None, reason="flite is not installed")


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assistant", "tune", *words], capture_output=True, text=True, timeout=300
    )


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    folder = tmp_path_factory.mktemp("voice")
    chance = np.random.default_rng(3)
    sounds = [np.zeros(48_000, np.float32), *(np.pad(say(text, "flite rms", folder), 8000) for text in SENTENCES)]
    paths = []
    for number, sound in enumerate(sounds):
        paths.append(str(folder / f"{number:02}.wav"))
        soundfile.write(paths[-1], sound + chance.normal(size=len(sound)) * 1e-3, 16_000)
    return paths


def test_recordings_give_advice_and_thresholds_that_a_job_uses(files: list[str], tmp_path: Path) -> None:
    done = run("--data", str(tmp_path), "--user", "ann", "--json", "--sound", *files)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["right"] >= 8  # a synthetic voice in a quiet room; its fifty is often heard as fifteen
    assert found["room"]["noise_db"] == pytest.approx(-60, abs=1)  # 1e-3 is 60 dB under full scale
    assert (tmp_path / "users" / "ann.yaml").is_file()
    job = [sys.executable, "-m", "assistant", "run", "oil-and-filter", "--vehicle", "tarnwick-plover-16", "--typed"]
    used = subprocess.run([*job, "--data", str(tmp_path), "--user", "ann"], input="", capture_output=True, text=True)
    assert used.returncode == 0, used.stderr
    missing = subprocess.run([*job, "--data", str(tmp_path), "--user", "bob"], input="", capture_output=True, text=True)
    assert (missing.returncode, "bob.yaml" in missing.stderr) == (2, True)


def test_silence_is_told_and_a_missing_file_keeps_what_was_there(files: list[str], tmp_path: Path) -> None:
    done = run("--data", str(tmp_path), "--sound", *files[:1] * 11)
    assert "I heard no speech at all" in done.stdout
    kept = (tmp_path / "users" / "me.yaml").read_bytes()
    done = run("--data", str(tmp_path), "--sound", *files[:-1], str(tmp_path / "none.wav"))
    assert done.returncode == 2
    assert (tmp_path / "users" / "me.yaml").read_bytes() == kept
    assert run("--data", str(tmp_path), "--sound", *files[:3]).returncode == 2
    assert run("--data", str(tmp_path), "--user", "../x", "--sound", *files).returncode == 2


def test_the_sentences_are_listed() -> None:
    assert run("--list").stdout.split("\n")[:-1] == list(SENTENCES)
