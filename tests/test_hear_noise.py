"""Checks the noise that `assistant hear` lays under files: its stretch for each, and its level by another program."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.commands import cli, hear
from assistant.core.errors import DataError
from assistant.core.hearing.sound.mixing import Mixture
from assistant.core.hearing.sound.pauses import LONG_END
from assistant.core.types import RATE

CHANCE = np.random.default_rng(4)
TONE = (0.1 * np.sin(2 * np.pi * 400 * np.arange(RATE) / RATE)).astype(np.float32)
SOUND = np.concatenate([np.zeros(RATE, np.float32), TONE, np.zeros(RATE, np.float32)])
QUIET_FIRST = np.concatenate([0.0005 * CHANCE.standard_normal(8 * RATE), 0.05 * CHANCE.standard_normal(22 * RATE)])
"""40 dB quieter in its first 8 seconds."""


def saved(file: Path, samples: np.ndarray) -> Path:
    soundfile.write(file, samples, RATE, subtype="FLOAT")
    return file


@pytest.fixture
def noise(tmp_path: Path) -> Path:
    return saved(tmp_path / "noise.wav", QUIET_FIRST.astype(np.float32))


def mixture(noise: Path, name: str, seed: int = 0) -> Mixture:
    """What a run makes of one file alone."""
    return hear.mixer(noise, 6.0, seed)(SOUND, Path(name))


def sox_level(*inputs: str | Path) -> float:
    """The level under the word [decibel of full scale], as sox tells it."""
    command = ["sox", *map(str, inputs), "-n", "trim", "1", "1", "stats"]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stderr
    found = re.search(r"RMS lev dB +(\S+)", told)
    assert found, told
    return float(found[1])


@pytest.mark.skipif(shutil.which("sox") is None, reason="sox is not installed")
@pytest.mark.parametrize("name", ["a.wav", "b.wav", "c.wav", "d.wav", "e.wav"])
@pytest.mark.parametrize("snr_db", [-3.0, 6.0, 20.0])
def test_sox_measures_the_wanted_ratio(tmp_path: Path, noise: Path, name: str, snr_db: float) -> None:
    both = saved(tmp_path / "both.wav", hear.mixer(noise, snr_db, 0)(SOUND, Path(name)).samples)
    sound = saved(tmp_path / "sound.wav", SOUND)
    laid_under = sox_level("-m", "-v", "1", both, "-v", "-1", sound)  # the mixture less the sound
    assert sox_level(sound) - laid_under == pytest.approx(snr_db, abs=0.1)


def test_each_file_has_a_stretch_of_its_own_and_a_run_repeats(noise: Path) -> None:
    names = [f"{number}.wav" for number in range(20)]
    mix, again = hear.mixer(noise, 6.0, 0), hear.mixer(noise, 6.0, 0)
    starts = [mix(SOUND, Path(name)).noise_start for name in names]
    assert starts == [again(SOUND, Path(name)).noise_start for name in names]
    assert len(set(starts)) > 17
    assert starts != [mixture(noise, name, seed=1).noise_start for name in names]


def test_a_file_has_the_same_noise_alone_among_others_and_in_another_folder(noise: Path) -> None:
    mix = hear.mixer(noise, 6.0, 0)
    mix(SOUND, Path("before.wav"))
    among_others = mix(SOUND, Path("here/one.wav"))
    np.testing.assert_array_equal(among_others.samples, mixture(noise, "there/one.wav").samples)


def test_files_of_one_name_in_one_run_have_each_their_own(noise: Path) -> None:
    mix = hear.mixer(noise, 6.0, 0)
    starts = [mix(SOUND, Path(f"{person}/one.wav")).noise_start for person in range(10)]
    assert len(set(starts)) > 8


def test_noise_with_pauses_only_under_the_speech_names_both_files(tmp_path: Path) -> None:
    knock = saved(tmp_path / "knock.wav", np.concatenate([TONE[: RATE // 2], np.zeros(20 * RATE, np.float32)]))
    with pytest.raises(
        DataError, match=r"knock\.wav, for said\.wav: nowhere .* give a longer, or a steadier recording"
    ):
        hear.mixer(knock, 6.0, 0)(SOUND, Path("said.wav"))


def test_without_noise_a_sound_is_left_alone() -> None:
    both = hear.mixer(None, None, 0)(SOUND, Path("a.wav"))
    assert both.samples is SOUND
    assert (both.noise_start, both.snr_db) == (None, None)


def test_the_seed_and_what_was_mixed_are_told(tmp_path: Path, noise: Path) -> None:
    """In a process of its own, as a program uses it, on a tone and on silence, under which nothing is laid."""
    files = [saved(tmp_path / "tone.wav", SOUND), saved(tmp_path / "silent.wav", 0 * SOUND)]
    grammar = tmp_path / "g.jsgf"
    grammar.write_text("#JSGF V1.0;\npublic <said> = yes | no;\n", encoding="utf-8")
    options = ["--grammar", grammar, "--engines", "whisper", "--json", "--noise", noise, "--snr", "6", "--seed", "7"]
    command = [sys.executable, "-m", "assistant", "hear", *map(str, [*options, *files])]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=600)
    *mixed, silent = [json.loads(line) for line in done.stdout.splitlines()]
    heard = np.pad(SOUND, (int(hear.LEAD * RATE), int(LONG_END * RATE) + hear.BLOCK))
    start = hear.mixer(noise, 6.0, 7)(heard, files[0]).noise_start
    assert start is not None
    assert mixed
    assert {(one["noise_start_s"], one["snr_db"]) for one in mixed} == {(round(start / RATE, 3), 6.0)}
    assert (silent["noise_start_s"], silent["snr_db"]) == (None, None)


@pytest.mark.parametrize("text", ["-1", "1.5", "x", ""])
def test_a_seed_that_is_none_is_refused(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["hear", "--grammar", "g.jsgf", f"--seed={text}", "a.wav"])
    assert ended.value.code == 2
    assert "no whole number from 0 on" in capsys.readouterr().err
