"""The voice on long rows of texts and in its corners; killed and stopped children are in `test_speech.py`."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator

import numpy as np
import pytest

from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.core.errors import DeviceError
from assistant.core.types import RATE


@pytest.fixture
def speech() -> Iterator[Pyttsx3Speech]:
    voice = Pyttsx3Speech()
    yield voice
    voice.close()


def test_a_long_row_of_long_texts_needs_one_child_only(speech: Pyttsx3Speech) -> None:
    speech.render("One.")
    assert speech._child
    first = speech._child.pid
    for number in range(12):
        assert len(speech.render(f"{number}. " + "Next step. " * 180)) > 150 * RATE
    assert speech._child.pid == first


def test_sound_stays_within_full_scale(speech: Pyttsx3Speech) -> None:
    """The engine's own peaks are at full scale, and overshoot where the rate is changed."""
    peaks = [np.abs(speech.render(f"Sentence {number}: pour in half a litre of oil.")).max() for number in range(40)]
    assert max(peaks) <= 1.0
    assert min(peaks) > 0.3


@pytest.mark.parametrize("text", ["…", "???", "\ud800 lone", "a\x00b", "1" * 60, "w" * 700, "漢字", "one\r\n\ttwo"])
def test_no_text_ends_the_voice(speech: Pyttsx3Speech, text: str) -> None:
    assert (len(speech.render(text)) > 0) is any(sign.isalnum() for sign in text)
    assert len(speech.render("Next step.")) > RATE


def test_more_digits_take_longer_in_step_with_their_number(speech: Pyttsx3Speech) -> None:
    """Twelve digits, spelt as twelve words, are spoken three times as long as four, within a fifth."""
    four, twelve = (len(speech.render(" ".join("7" * count))) for count in (4, 12))
    assert twelve / four == pytest.approx(3, rel=0.2)


def test_a_slower_rate_takes_longer() -> None:
    lengths = []
    for rate in (120, 240):
        voice = Pyttsx3Speech(rate=rate)
        lengths.append(len(voice.render("Pour in three point five litres of oil, and then wait for two minutes.")))
        voice.close()
    assert lengths[0] > 1.5 * lengths[1]


def test_an_unknown_voice_is_named() -> None:
    voice = Pyttsx3Speech(voice="no-such-voice")
    with pytest.raises(DeviceError, match="no-such-voice"):
        voice.render("One.")
    voice.close()


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="needs a process that can be stopped")
def test_what_is_rendered_ahead_gives_way_where_it_hangs(speech: Pyttsx3Speech) -> None:
    speech.render("One.")
    assert speech._child
    os.kill(speech._child.pid, signal.SIGSTOP)
    speech.prepare("Pour in three point five litres.")
    began = time.monotonic()
    assert len(speech.render("Stop at once."))
    assert time.monotonic() - began < 5


def test_after_it_was_closed_it_says_so(speech: Pyttsx3Speech) -> None:
    speech.warm_up()
    speech.close()
    with pytest.raises(DeviceError, match="closed"):
        speech.render("One.")
