"""The loudspeaker where there is none: what a person is told. With one, see `test_sound_card.py`."""

from __future__ import annotations

import subprocess
import sys

import pytest

OPEN = """
import sys
if sys.argv[1] == "without":
    sys.modules["sounddevice"] = None  # the package is not there: importing it now fails
from assistant.adapters.player_soundcard import SoundCardPlayer
from assistant.core.errors import DeviceError
try:
    SoundCardPlayer("A Loudspeaker That Nobody Has").close()
except DeviceError as error:
    print(error)
    print(len(error.say.split()))
"""


def opened(how: str) -> list[str]:
    """Open a loudspeaker in a process of its own, because PortAudio looks for devices once."""
    done = subprocess.run([sys.executable, "-c", OPEN, how], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_a_missing_library_is_named() -> None:
    message, words = opened("without")
    assert "libportaudio2" in message
    assert "go to the screen and the file" in message
    assert int(words) <= 15


def test_an_unknown_loudspeaker_is_said_with_those_that_there_are() -> None:
    message, words = opened("with")
    if "libportaudio2" in message:
        pytest.skip("needs PortAudio")
    assert "A Loudspeaker That Nobody Has" in message
    assert "Loudspeakers here" in message
    assert int(words) <= 15
