"""The loudspeaker and the microphone on a virtual sound card; skipped where PulseAudio or PortAudio is absent.

Each test talks to the card from a process of its own, because PortAudio reads its environment once.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.sound_card import RATE, Card, Recorder, is_possible

pytestmark = pytest.mark.skipif(not is_possible(), reason="needs a virtual sound card: PulseAudio and PortAudio")

PLAY = """
import sys, threading, time
import numpy as np
from assistant.adapters.player_soundcard import SoundCardPlayer
player = SoundCardPlayer()
tone = (0.5 * np.sin(np.arange(16000 * 4) * 0.3)).astype(np.float32)
def stop():
    time.sleep(1.5)
    print(time.time(), flush=True)
    player.stop()
threading.Thread(target=stop).start() if sys.argv[1] == "stopped" else print(time.time(), flush=True)
player.play(tone)
time.sleep(0.5)
player.close()
"""

TWICE = """
import threading, time
import numpy as np
from assistant.adapters.player_soundcard import SoundCardPlayer
player = SoundCardPlayer()
tone = (0.5 * np.sin(np.arange(16000 * 4) * 0.3)).astype(np.float32)
threading.Timer(1.0, player.stop).start()
print(time.time())
player.play(tone)
player.play(tone[:16000])
player.close()
"""

LOST = """
import threading, time
import numpy as np
from assistant.adapters.player_soundcard import SoundCardPlayer
from assistant.core.errors import DeviceError
player = SoundCardPlayer()
tone = np.full(16000 * 8, 0.1, np.float32)
threading.Timer(1.0, print, ["playing"], {"flush": True}).start()
for _ in range(2):
    began = time.monotonic()
    try:
        player.play(tone)
    except DeviceError as error:
        print(error) if _ == 0 else None
    print(time.monotonic() - began, flush=True)
player.close()
player.close()
"""

HEAR = """
import sys
import numpy as np, soundfile
from assistant.adapters.microphone import Microphone
microphone = Microphone()
blocks = []
for block in microphone.blocks():
    blocks.append(block)
    if len(blocks) == 1:
        print("listening", flush=True)
    if len(blocks) * 512 > 16000 * 4:
        break
microphone.close()
soundfile.write(sys.argv[1], np.concatenate(blocks), 16000)
"""


@pytest.fixture
def bench(card: Card) -> dict[str, str]:
    """The environment of a program that hears what it plays."""
    return card.environment("bench", "bench")


def record(card: Card, program: str, *arguments: str) -> tuple[np.ndarray, float, float]:
    """Run a program while the card is recorded; returns the sound, when its recording began, and what it printed."""
    recorder = Recorder(card, "bench")
    done = subprocess.run(
        [sys.executable, "-c", program, *arguments],
        env=card.environment("bench", "bench"), capture_output=True, text=True, check=False,
    )  # fmt: skip
    recorder.close()
    assert done.returncode == 0, done.stderr
    return recorder.sound, recorder.began, float(done.stdout.split()[0])


def test_what_is_played_is_heard_whole(card: Card) -> None:
    sound, _, _ = record(card, PLAY, "whole")
    loud = np.abs(sound) > 0.1
    first, last = np.flatnonzero(loud)[[0, -1]]
    assert (last - first) / RATE == pytest.approx(4.0, abs=0.1)


def test_it_is_silent_within_a_fifth_of_a_second_after_stop(card: Card) -> None:
    sound, began, stopped = record(card, PLAY, "stopped")
    last = np.flatnonzero(np.abs(sound) > 0.1)[-1] / RATE
    assert last > 0.5
    assert last - (stopped - began) < 0.2 + 0.05  # the recording itself starts up to 50 ms late


def test_it_can_play_again_after_stop(card: Card) -> None:
    sound, _, _ = record(card, TWICE)
    times = np.flatnonzero(np.abs(sound) > 0.1) / RATE
    gaps = np.diff(times)
    second = times[gaps.argmax() + 1 :]
    assert gaps.max() > 0.2  # the silence that wakes the device, less what was still on its way
    assert second[-1] - second[0] == pytest.approx(1.0, abs=0.1)


START = """
import time
import numpy as np
from assistant.adapters.player_soundcard import SoundCardPlayer
player = SoundCardPlayer()
tone = (0.5 * np.sin(np.arange(16000 * 4) * 0.3)).astype(np.float32)
began = time.monotonic()
player.start(tone)
print(time.monotonic() - began)
assert player.playing
time.sleep(1.5)
player.start(tone[:16000])
while player.playing:
    time.sleep(0.01)
player.close()
"""


def test_it_plays_while_the_program_goes_on_and_the_next_sound_cuts_it_off(card: Card) -> None:
    sound, _, took = record(card, START)
    assert took < 1.0
    times = np.flatnonzero(np.abs(sound) > 0.1) / RATE
    second = times[np.diff(times).argmax() + 1 :]
    assert 0.8 < second[0] - times[0] < 2.5
    assert second[-1] - second[0] == pytest.approx(1.0, abs=0.1)


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="needs a process that can be stopped")
def test_a_loudspeaker_that_takes_nothing_is_said_and_not_waited_for(card: Card, bench: dict[str, str]) -> None:
    """A stopped sound server stands for a device that was unplugged: its calls never return."""
    child = subprocess.Popen([sys.executable, "-c", LOST], env=bench, stdout=subprocess.PIPE, text=True)
    assert child.stdout
    server = card.server.pid
    try:
        assert child.stdout.readline() == "playing\n"
        os.kill(server, signal.SIGSTOP)
        said, _ = child.communicate(timeout=30)  # it ends; how is up to the library, where a thread still hangs
    finally:
        os.kill(server, signal.SIGCONT)
        child.kill()
        child.communicate()
    assert "takes no sound any more" in said.splitlines()[0]
    assert float(said.splitlines()[1]) < 10
    assert float(said.splitlines()[2]) < 0.5


def test_the_microphone_hears_what_is_played_into_it(card: Card, bench: dict[str, str], tmp_path: Path) -> None:
    spoken = Path(__file__).resolve().parents[2] / "procedures" / "demo" / "oil-and-filter" / "02.ogg"
    samples, rate = soundfile.read(spoken)
    wav, heard = tmp_path / "spoken.wav", tmp_path / "heard.wav"
    soundfile.write(wav, samples, rate)
    child = subprocess.Popen([sys.executable, "-c", HEAR, str(heard)], env=bench, stdout=subprocess.PIPE, text=True)
    assert child.stdout
    assert child.stdout.readline() == "listening\n"
    card.play(wav, "bench")
    child.communicate(timeout=20)
    assert child.returncode == 0
    recorded, _ = soundfile.read(heard)
    correlation = np.correlate(recorded, samples, "valid")
    best = np.abs(correlation).max() / (np.linalg.norm(samples) * np.linalg.norm(recorded))
    assert best > 0.8
