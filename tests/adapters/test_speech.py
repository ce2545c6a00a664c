"""The voice: the real library in a real child process, which is really killed and really stopped."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.player_file import FilePlayer
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.errors import DeviceError
from assistant.core.reply.tones import signal as tone_signal
from assistant.core.types import RATE, Tone


@pytest.fixture
def speech() -> Iterator[Pyttsx3Speech]:
    voice = Pyttsx3Speech()
    yield voice
    voice.close()
    voice.close()


@pytest.fixture
def impatient() -> Iterator[Pyttsx3Speech]:
    voice = Pyttsx3Speech(limit=2.0)
    yield voice
    voice.close()


def seconds(samples: np.ndarray) -> float:
    return len(samples) / RATE


def test_thirty_sentences_come_whole(speech: Pyttsx3Speech) -> None:
    lengths = [seconds(speech.render(f"Tighten it to {word} newton metres.")) for word in
               ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"] * 3]  # fmt: skip
    assert min(lengths) > 1.0
    assert max(lengths) < 5.0
    assert lengths[:10] == lengths[10:20]


def test_longer_texts_take_longer(speech: Pyttsx3Speech) -> None:
    assert seconds(speech.render("Next step. " * 180)) > 20 * seconds(speech.render("Next step."))


@pytest.mark.parametrize("text", ["", "  ", "Ünïcode — “quotes”; 25 N·m & <b>tags</b>", 'He said "no"\nand went.'])
def test_odd_texts_do_no_harm(speech: Pyttsx3Speech, text: str) -> None:
    samples = speech.render(text)
    assert (len(samples) > 0) is bool(text.strip())


def test_a_killed_child_is_replaced(speech: Pyttsx3Speech) -> None:
    speech.render("One.")
    assert speech._child
    speech._child.kill()
    speech._child.wait()
    assert seconds(speech.render("And after that it goes on.")) > 1


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="needs a process that can be stopped")
def test_a_child_that_hangs_is_noticed_and_replaced(impatient: Pyttsx3Speech) -> None:
    impatient.render("One.")
    assert impatient._child
    hung = impatient._child
    os.kill(hung.pid, signal.SIGSTOP)
    began = time.monotonic()
    assert len(impatient.render("It does not wait for ever."))
    assert time.monotonic() - began < 10
    assert hung.poll() is not None


def test_two_failures_are_said(speech: Pyttsx3Speech, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.executable", str(Path(__file__).parent / "no-such-program"))
    with pytest.raises(DeviceError, match="goes on without a voice"):
        speech.render("One.")


def test_rendered_ahead_is_there_at_once(speech: Pyttsx3Speech) -> None:
    speech.prepare("Pour in three point five litres.")
    assert speech._ahead
    speech._ahead.join(timeout=5)
    assert "Pour in three point five litres." in speech._kept


def test_nothing_stays_on_disk() -> None:
    voice = Pyttsx3Speech()
    voice.render("One.")
    folder = Path(voice._folder.name)
    assert folder.exists()
    voice.close()
    assert not folder.exists()


@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_the_speech_file_holds_all_that_was_played(tmp_path: Path, suffix: str) -> None:
    player = FilePlayer(tmp_path / f"speech{suffix}")
    sound = np.sin(np.arange(RATE) / 20).astype(np.float32) * 0.5
    player.play(sound)
    player.play(sound, Tone.WARN)
    player.stop()
    player.close()
    player.close()
    read, rate = soundfile.read(tmp_path / f"speech{suffix}")
    assert rate == RATE
    assert len(read) / RATE == pytest.approx(player.seconds, abs=0.01)
    assert np.abs(read[:RATE] - sound).max() < 0.001


def test_a_speech_file_that_can_not_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(DeviceError, match="can't be written"):
        FilePlayer(tmp_path / "file" / "speech.wav")


def test_tones_are_short_and_rich() -> None:
    """ISO 24500: fundamental at most 2500 Hz; IEC 60601-1-8: 150 to 1000 Hz with at least four components."""
    for tone in Tone:
        sound = tone_signal(tone)
        assert len(sound) <= 0.45 * RATE
        assert np.abs(sound).max(initial=0) <= 1
        if not len(sound):
            continue
        pulse = sound[: int(0.07 * RATE)]
        spectrum = np.abs(np.fft.rfft(pulse * np.hanning(len(pulse)), RATE))
        peaks = [hertz for hertz in range(100, 4500) if spectrum[hertz] == spectrum[hertz - 40 : hertz + 41].max()
                 and spectrum[hertz] > spectrum.max() / 30]  # fmt: skip
        assert 150 <= peaks[0] <= 1000
        assert len(peaks) >= 4
