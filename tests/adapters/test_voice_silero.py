"""Checks the voice detector on recorded words and on sounds of a workshop that hold no voice."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.sound_file import SoundFile
from assistant.adapters.voice_silero import BLOCK, SileroVoice
from assistant.core.errors import Bug
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.types import RATE

DATA = Path(__file__).parent / "data"
DIGITS = Path(__file__).resolve().parents[2].parent / "shared" / "speech" / "digits"
CHANCE = np.random.default_rng(5)
SECONDS = 4


def hum() -> np.ndarray:
    """An engine at idle: a fundamental of 25 Hz with harmonics that fall off, root mean square 0.05."""
    time = np.arange(SECONDS * RATE) / RATE
    wave = sum(np.sin(2 * np.pi * 25 * order * time + order**2) / order for order in range(1, 13))
    return np.asarray(0.05 * wave / np.std(wave))


def hiss() -> np.ndarray:
    return 0.05 * CHANCE.standard_normal(SECONDS * RATE)


def clangs() -> np.ndarray:
    """A spanner on concrete each second: three partials of steel that die within 60 ms."""
    time = np.arange(RATE) / RATE
    ring = sum(np.sin(2 * np.pi * pitch * time) for pitch in (2310, 3870, 6120))
    return np.tile(0.2 * ring * np.exp(-time / 0.02), SECONDS) + 0.001 * CHANCE.standard_normal(SECONDS * RATE)


def probabilities(samples: np.ndarray, voice: SileroVoice) -> list[float]:
    whole = len(samples) - len(samples) % BLOCK
    return [voice(block) for block in samples[:whole].astype(np.float32).reshape(-1, BLOCK)]


@pytest.mark.parametrize("name", ["what_torque.flac", "three_point_eight_litres_in.ogg"])
def test_words_hold_a_voice(name: str) -> None:
    voice = SileroVoice()
    source = SoundFile(DATA / name)
    heard = [voice(block) for block in source.blocks()]
    source.close()
    assert all(0 <= probability <= 1 for probability in heard)
    assert np.mean(np.array(heard) > 0.5) > 0.5


@pytest.mark.parametrize("sound", [hum, hiss, clangs])
def test_a_workshop_without_a_voice_gives_no_utterance(sound: Callable[[], np.ndarray]) -> None:
    voice, segmenter = SileroVoice(), Segmenter()
    samples = sound().astype(np.float32)
    for block in samples.reshape(-1, BLOCK):
        assert segmenter.push(block, voice(block)) is None
    assert segmenter.flush() is None


def test_reset_forgets_what_came_before() -> None:
    voice = SileroVoice()
    samples = 0.05 * np.random.default_rng(1).standard_normal(10 * BLOCK)
    first = probabilities(samples, voice)
    voice.reset()
    assert probabilities(samples, voice) == first


def test_another_block_length_is_our_own_fault() -> None:
    with pytest.raises(Bug, match="512"):
        SileroVoice()(np.zeros(BLOCK + 1, dtype=np.float32))


@pytest.mark.skipif(not DIGITS.is_dir(), reason="the digit recordings are not here")
def test_single_digits_of_four_people_are_one_utterance_each() -> None:
    # Free Spoken Digit Dataset (CC BY-SA 4.0), every fortieth recording, a second of faint noise on both sides.
    chance = np.random.default_rng(2)
    found = []
    for path in sorted(DIGITS.glob("*.wav"))[::40]:
        voice, segmenter = SileroVoice(), Segmenter()
        source = SoundFile(path)
        around = [chance.standard_normal(BLOCK) * 1e-4 for _ in range(32)]
        utterances = [
            segmenter.push(block.astype(np.float32), voice(block.astype(np.float32)))
            for block in [*around, *source.blocks(), *around]
        ]
        source.close()
        found.append(sum(one is not None for one in utterances))
    assert np.mean(np.array(found) == 1) >= 0.9


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="the system does not list threads as files")
def test_it_takes_one_thread_and_leaves_the_limit_of_other_libraries_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    # A process of its own: the library reads the limit only once, when it is loaded.
    script = """
import os
import numpy as np
from assistant.adapters.voice_silero import BLOCK, SileroVoice
count = lambda: len(os.listdir("/proc/self/task"))
voice, before = SileroVoice(), count()
voice(np.zeros(BLOCK, np.float32))
print(count() - before, os.environ.get("OMP_THREAD_LIMIT"))
"""
    for limit in ("7", None):
        monkeypatch.setenv("OMP_THREAD_LIMIT", limit) if limit else monkeypatch.delenv("OMP_THREAD_LIMIT")
        ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
        assert ran.stdout.split() == ["0", str(limit)]
