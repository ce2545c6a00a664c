"""A microphone that goes away: noticed, told, tried again with pauses, and back; the job and its clock go on."""

from __future__ import annotations

import threading
import time
from datetime import timedelta

import numpy as np
import pytest

from assistant.adapters.library import data_folder
from assistant.adapters.microphone import check_microphone
from assistant.adapters.sound_file import read_sound
from assistant.core.errors import DeviceError
from assistant.core.reply.answers import present
from assistant.path.kept_source import KeptSource
from tests.fake_devices import Said, Sound, Writer, beside
from tests.talk import EVIDENCE, READY, Talk

LOST = "I lost the microphone. Plug it in again."
MUTED = "I hear nothing at all. The microphone may be muted."
COMMAND = read_sound(data_folder("procedures") / "demo" / "oil-and-filter" / "02.ogg")
SOON = 3.5
"""Two seconds on a free machine [second]."""


@pytest.fixture
def sound() -> Sound:
    return Sound("Webcam", "USB Audio")


def back(talk: Talk) -> str:
    return f"I hear you again. {present(talk.state)}"


def test_unplugged_is_told_within_two_seconds_and_its_return_with_the_last_question(talk: Talk, sound: Sound) -> None:
    facts = talk.facts()

    def script(said: Said) -> None:
        time.sleep(1.0)
        sound.present.remove("USB Audio")
        assert said.wait(1) < SOON
        sound.present[:0] = ["Headset", "USB Audio"]  # its number is another one now
        said.wait(2)
        time.sleep(1.0)

    said = beside(talk.desk, sound, script, "usb audio")
    assert said.texts == [LOST, back(talk)]
    assert sound.opened == ["USB Audio", "USB Audio"]
    assert sound.looked > 0
    assert talk.facts() == facts  # the job stays as it is
    assert any("unplugged" in str(fault) for fault in talk.desk.ears.faults)


def test_taken_by_another_program_and_given_back(talk: Talk, sound: Sound) -> None:
    def script(said: Said) -> None:
        time.sleep(1.0)
        sound.taken = True
        assert said.wait(1) < SOON
        sound.taken = False
        said.wait(2)

    assert beside(talk.desk, sound, script).texts == [LOST, back(talk)]


def test_one_that_was_never_there_is_told_and_taken_when_it_comes(talk: Talk) -> None:
    sound = Sound()

    def script(said: Said) -> None:
        assert said.wait(1) < SOON
        sound.present.append("Webcam")
        said.wait(2)

    assert beside(talk.desk, sound, script).texts == ["I find no microphone. Plug one in.", back(talk)]


def test_one_that_changes_its_rate_is_opened_again_without_a_word(talk: Talk, sound: Sound) -> None:
    def script(said: Said) -> None:
        time.sleep(1.0)
        sound.speed = 0.5
        while len(sound.opened) < 2:
            time.sleep(0.02)
        sound.speed = 1.0
        time.sleep(2.0)

    assert beside(talk.desk, sound, script).texts == []


def test_one_that_is_muted_is_told_and_who_speaks_then_is_heard_first(talk: Talk, sound: Sound) -> None:
    talk.desk.ears.engines = (Writer("what is still open"),)

    def script(said: Said) -> None:
        time.sleep(1.0)
        sound.muted = True
        assert said.wait(1) < SOON
        sound.said, sound.muted = COMMAND, False
        said.wait(2)
        time.sleep(1.0)

    assert beside(talk.desk, sound, script).texts == [MUTED, "I hear you again. Nothing is open."]


def test_one_that_is_shut_between_words_is_not_called_muted(talk: Talk, sound: Sound) -> None:
    def script(said: Said) -> None:
        for _ in range(4):
            sound.muted = True
            time.sleep(0.5)
            sound.muted = False
            time.sleep(0.2)
        sound.muted = True
        time.sleep(2.5)

    assert beside(talk.desk, sound, script).texts == []


def test_what_was_being_said_when_it_went_is_dropped_and_what_is_said_after_is_heard(talk: Talk, sound: Sound) -> None:
    talk.desk.ears.engines = (Writer("what is still open"),)
    half = COMMAND[: int(np.flatnonzero(np.abs(COMMAND) > 0.05)[0]) + 8000]

    def script(said: Said) -> None:
        time.sleep(1.0)
        sound.said = half
        while len(sound.said):
            time.sleep(0.01)
        sound.present.remove("Webcam")
        said.wait(1)
        sound.present.append("Webcam")
        said.wait(2)
        sound.said = COMMAND
        said.wait(3)

    assert beside(talk.desk, sound, script, "Webcam").texts == [LOST, back(talk), "Nothing is open."]


def test_while_it_is_deaf_time_passes_and_someone_under_the_car_is_asked(talk: Talk, sound: Sound) -> None:
    talk.say(READY)
    talk.say(EVIDENCE)
    talk.desk.check_in_after = timedelta(seconds=4)

    def script(said: Said) -> None:
        time.sleep(1.5)
        sound.present.clear()
        said.wait(2)

    lost, asked = beside(talk.desk, sound, script).texts
    assert lost == LOST
    assert "all right" in asked


def test_it_is_tried_again_after_pauses_that_grow(talk: Talk, sound: Sound) -> None:
    tried: list[float] = []

    def script(said: Said) -> None:
        time.sleep(1.5)
        sound.present.clear()
        looked = sound.looked
        until = time.monotonic() + 9
        while time.monotonic() < until:
            if sound.looked > looked:
                looked = sound.looked
                tried.append(time.monotonic())
            time.sleep(0.01)

    assert beside(talk.desk, sound, script).texts == [LOST]
    assert np.diff(tried) == pytest.approx([1, 2, 4][: len(tried) - 1], rel=0.3)
    assert len(tried) >= 3


def test_ending_does_not_wait_for_a_device_that_hangs() -> None:
    released = threading.Event()

    def hang() -> object:
        released.wait(30)
        raise DeviceError("too late")

    source = KeptSource(hang)  # type: ignore[arg-type]
    assert not np.any(next(source.blocks()))
    began = time.monotonic()
    source.close()
    assert time.monotonic() - began < 1
    released.set()


def test_a_name_that_no_microphone_has_is_refused_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    sound = Sound("Webcam")
    monkeypatch.setattr("assistant.adapters.microphone._sounddevice", lambda: sound)
    with pytest.raises(DeviceError, match="is not the name"):
        check_microphone("headset")
    check_microphone("Webcam")
    sound.present.clear()
    sound._initialize()
    check_microphone("headset")  # it may be plugged in
