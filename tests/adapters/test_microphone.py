"""Checks the way from the sound card's thread to the reader, and what is said where there is no sound card."""

import threading
from collections.abc import Callable
from contextlib import closing
from typing import Any

import numpy as np
import pytest

from assistant.adapters import microphone
from assistant.adapters.microphone import BLOCK, HOLD_OFF, ROOM, Intake, Microphone, list_microphones
from assistant.core.errors import DeviceError
from assistant.core.types import RATE

try:
    import sounddevice
except OSError:
    sounddevice = None

needs_portaudio = pytest.mark.skipif(sounddevice is None, reason="the PortAudio library is not here")


def feed(intake: Intake, samples: np.ndarray, size: int, channels: int = 1) -> None:
    for start in range(0, len(samples) - size + 1, size):
        block = np.repeat(samples[start : start + size, None], channels, axis=1).astype(np.float32)
        intake.accept(block, size, None, 0)


def tone(rate: int, seconds: float) -> np.ndarray:
    return 0.5 * np.sin(2 * np.pi * 440 * np.arange(int(rate * seconds)) / rate)


def read_all(intake: Intake) -> tuple[np.ndarray, DeviceError]:
    """Return all that waits, and the error that follows when no more comes."""
    blocks = []
    with pytest.raises(DeviceError) as caught:
        for block in intake.blocks():
            blocks.append(block)
    return np.concatenate(blocks) if blocks else np.zeros(0), caught.value


def test_what_goes_in_comes_out_in_blocks() -> None:
    intake = Intake(patience=0.05)
    wave = np.random.default_rng(1).uniform(-0.5, 0.5, 20 * BLOCK)
    feed(intake, wave, BLOCK)
    heard, _ = read_all(intake)
    np.testing.assert_allclose(heard, wave, atol=1e-6)


@pytest.mark.parametrize(("rate", "channels"), [(48_000, 1), (44_100, 2), (8_000, 1)])
def test_another_rate_and_two_channels_give_the_same_tone(rate: int, channels: int) -> None:
    intake = Intake(rate, patience=0.05)
    feed(intake, tone(rate, 2.0), BLOCK * rate // RATE, channels)
    heard, _ = read_all(intake)
    assert len(heard) % BLOCK == 0
    assert len(heard) / RATE == pytest.approx(2.0, abs=0.1)
    middle = heard[RATE // 2 : 3 * RATE // 2]
    assert np.argmax(np.abs(np.fft.rfft(middle))) * RATE / len(middle) == pytest.approx(440, abs=1)
    assert np.sqrt(2 * np.mean(middle**2)) == pytest.approx(0.5, rel=0.01)


def test_a_block_is_copied_for_the_sound_card_uses_it_again() -> None:
    intake = Intake(patience=0.05)
    shared = np.full((BLOCK, 1), 0.25, dtype=np.float32)
    intake.accept(shared, BLOCK, None, 0)
    shared[:] = -1
    heard, _ = read_all(intake)
    assert (heard == 0.25).all()


def test_silence_from_the_device_means_it_is_lost() -> None:
    _, error = read_all(Intake(patience=0.05))
    assert "unplugged" in str(error)
    assert len(error.say.split()) <= 15


def test_a_reader_that_is_too_slow_loses_blocks_and_they_are_counted() -> None:
    intake = Intake(patience=0.05)
    feed(intake, np.zeros((ROOM + 7) * BLOCK), BLOCK)
    assert intake.dropped == 7
    intake.accept(np.zeros((BLOCK, 1), dtype=np.float32), BLOCK, None, "input overflow")
    assert intake.dropped == 9  # one that the sound card lost, and this one, for which there is no room


def test_another_rate_than_was_promised_is_a_fault() -> None:
    intake = Intake(patience=0.05)
    block = np.full((BLOCK, 1), 0.1, np.float32)
    for number in range(200):  # half of what there should be
        intake._count(BLOCK, 1 + 2 * number * BLOCK / RATE)
    intake.accept(block, BLOCK, None, 0)
    _, error = read_all(intake)
    assert "rate" in str(error)


def test_blocks_that_come_late_and_then_at_once_are_none() -> None:
    intake = Intake(patience=0.05)
    for number in range(400):  # what a busy machine holds back for a second it hands over in the next
        intake._count(BLOCK, 1 + number * BLOCK / RATE + (1.0 if 100 < number < 130 else 0.0))
    assert intake._off < 2


def test_the_end_frees_a_reader_that_waits() -> None:
    intake = Intake(patience=30)
    reader = threading.Thread(target=lambda: list(intake.blocks()), daemon=True)
    reader.start()
    intake.end()
    reader.join(timeout=5)
    assert not reader.is_alive()
    assert list(intake.blocks()) == []


def test_the_end_comes_through_a_full_queue_and_is_not_forgotten() -> None:
    intake = Intake(patience=30)
    feed(intake, np.zeros((ROOM + 1) * BLOCK), BLOCK)
    intake.end()
    intake.forget()
    assert list(intake.blocks()) == []


def test_what_was_captured_while_the_program_spoke_can_be_dropped() -> None:
    intake = Intake(patience=0.05)
    feed(intake, tone(RATE, 0.5), BLOCK)
    intake.forget()
    heard, _ = read_all(intake)
    assert len(heard) == 0


def test_its_echo_in_the_room_is_dropped_too_and_what_follows_is_heard() -> None:
    intake = Intake(patience=0.05)
    feed(intake, tone(RATE, 0.5), BLOCK)
    next(intake.blocks())  # what was read but not yet handed on is dropped as well
    intake.forget()
    echo, answer = np.full(int(HOLD_OFF * RATE), 0.5), np.full(20 * BLOCK, 0.1)
    feed(intake, np.concatenate([echo, answer]), BLOCK)
    heard, _ = read_all(intake)
    assert len(heard) >= 18 * BLOCK
    assert heard == pytest.approx(0.1, abs=0.01)


class Card:
    """A sound card that takes only one rate and one number of channels, as the library would show it."""

    class PortAudioError(Exception):
        pass

    def __init__(self, *names: str, rate: int = 48_000, channels: int = 2, default: int = -1) -> None:
        self._names, self._rate, self._channels = names, rate, channels
        self.default = type("Default", (), {"device": (default, -1)})()
        self.opened: list[dict[str, Any]] = []

    def query_devices(self) -> list[dict[str, Any]]:
        inputs = [
            {
                "name": name,
                "index": index,
                "max_input_channels": self._channels,
                "default_samplerate": float(self._rate),
            }
            for index, name in enumerate(self._names)
        ]
        return [*inputs, {"name": "Loudspeaker", "index": 99, "max_input_channels": 0, "default_samplerate": 1.0}]

    def InputStream(self, **wanted: Any) -> "Card":  # noqa: N802  (the library's own name)
        if (wanted["samplerate"], wanted["channels"]) != (self._rate, self._channels):
            raise self.PortAudioError("Invalid sample rate [PaErrorCode -9997]")
        self.opened.append(wanted)
        return self

    def start(self) -> None:
        pass

    def close(self, *, ignore_errors: bool = True) -> None:
        pass


def test_a_card_of_another_rate_is_opened_at_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    card = Card("USB Audio", default=0)
    monkeypatch.setattr(microphone, "_sounddevice", lambda: card)
    source = Microphone()
    (stream,) = card.opened
    assert (source.name, stream["samplerate"], stream["channels"]) == ("USB Audio", 48_000, 2)
    block = stream["blocksize"]
    for start in range(0, 48_000, block):
        stream["callback"](np.full((block, 2), 0.1, dtype=np.float32), block, start, 0)
    assert len(next(source.blocks())) == BLOCK
    source.close()
    source.close()


def test_a_card_that_refuses_names_all_three_causes(monkeypatch: pytest.MonkeyPatch) -> None:
    card = Card("USB Audio", channels=4)
    monkeypatch.setattr(microphone, "_sounddevice", lambda: card)
    with pytest.raises(DeviceError, match="-9997") as caught:
        Microphone()
    for cause in ("in use by another program", "rates", "not be allowed to listen", "--typed"):
        assert cause in str(caught.value)
    assert len(caught.value.say.split()) <= 15


@pytest.mark.parametrize(
    ("wanted", "opened"), [("usb audio", "USB Audio"), ("Webcam", "Webcam"), (None, "Webcam front")]
)
def test_a_microphone_is_chosen_by_name(monkeypatch: pytest.MonkeyPatch, wanted: str | None, opened: str) -> None:
    card = Card("USB Audio", "Webcam", "Webcam front", rate=RATE, channels=1, default=2)
    monkeypatch.setattr(microphone, "_sounddevice", lambda: card)
    with closing(Microphone(wanted)) as source:  # while one is open, devices are not looked for anew
        assert source.name == opened
    assert list_microphones() == ("USB Audio", "Webcam", "Webcam front")


@pytest.mark.parametrize(
    ("names", "wanted", "why"),
    [
        (("USB Audio", "Webcam"), "headset", "is not the name of a microphone"),
        (("Webcam left", "Webcam right"), "webcam", "fits several"),
        ((), None, "no microphone"),
        ((), "headset", "no microphone"),
    ],
)
def test_a_name_that_does_not_say_which_is_refused(
    monkeypatch: pytest.MonkeyPatch, names: tuple[str, ...], wanted: str | None, why: str
) -> None:
    monkeypatch.setattr(microphone, "_sounddevice", lambda: Card(*names))
    with pytest.raises(DeviceError, match=why) as caught:
        Microphone(wanted)
    assert all(name in str(caught.value) for name in names)
    assert len(caught.value.say.split()) <= 15


@pytest.mark.skipif(sounddevice is not None, reason="the PortAudio library is here")
@pytest.mark.parametrize("use", [Microphone, list_microphones])
def test_without_portaudio_the_package_and_the_other_ways_are_named(use: Callable[[], object]) -> None:
    with pytest.raises(DeviceError, match="libportaudio2") as caught:
        use()
    assert "--sound" in str(caught.value)
    assert "--typed" in str(caught.value)
    assert len(caught.value.say.split()) <= 15


@needs_portaudio
def test_a_real_microphone_gives_blocks() -> None:
    if not list_microphones():
        pytest.skip("there is no microphone here")
    source = Microphone()
    blocks = source.blocks()
    heard = [next(blocks) for _ in range(10)]
    source.close()
    assert all(block.shape == (BLOCK,) and block.dtype == np.float32 for block in heard)
