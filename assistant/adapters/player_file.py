"""Writes what would be heard to a sound file. Never touches a device."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.reply.tones import signal
from assistant.core.types import RATE, Tone

PAUSE = 0.35
"""Silence after each piece of sound [second]."""

SUFFIXES = (".wav", ".flac")


class FilePlayer:
    """Implements `ports.Player` with one growing mono file, FLAC or WAV by its suffix.

    A WAV file is whole also where the program was killed; a FLAC file then lacks its length and up to its last
    quarter of a second.
    """

    def __init__(self, path: Path) -> None:
        """Make the file and its folder; DeviceError where that fails."""
        self.name = str(path)
        self.seconds = 0.0
        if path.suffix.lower() not in SUFFIXES:
            raise DeviceError(f"the speech file {path} can't be written: its name must end in .wav or .flac")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file = soundfile.SoundFile(path, "w", samplerate=RATE, channels=1)
        except (OSError, soundfile.SoundFileError) as error:
            raise DeviceError(f"the speech file {path} can't be written: {error}; name another place") from error

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Append the tone, the sound and a short silence; DeviceError where the disk is full."""
        self.add(signal(tone))
        self.add(samples)
        self.gap(PAUSE)

    def start(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Append the same: a file takes no time."""
        self.play(samples, tone)

    @property
    def playing(self) -> bool:
        """False: nobody hears a file while it is written."""
        return False

    def add(self, samples: NDArray[np.float32]) -> None:
        """Append sound alone, mono at `RATE`: the other side of a talk, for instance."""
        try:
            self._file.write(samples)
            self._file.flush()
        except (OSError, soundfile.SoundFileError) as error:
            raise DeviceError(f"the speech file {self.name} can't be written on: {error}; make room") from error
        self.seconds += len(samples) / RATE

    def gap(self, seconds: float) -> None:
        """Append silence [second]."""
        self.add(np.zeros(int(seconds * RATE), np.float32))

    def stop(self) -> None:
        """Do nothing: a file is silent by itself."""

    def close(self) -> None:
        """Finish the file; may be called twice."""
        self._file.close()
