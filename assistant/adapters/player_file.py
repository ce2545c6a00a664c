"""Writes what would be heard to a sound file. Never touches a device."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.tones import signal
from assistant.core.types import RATE, Tone

_PAUSE = 0.35
"""Silence between two pieces of sound [second]."""


class FilePlayer:
    """Implements `ports.Player` with one growing mono file, FLAC or WAV by its suffix."""

    def __init__(self, path: Path) -> None:
        """Make the file; DeviceError where that fails."""
        self.name = str(path)
        self._folderless(path)
        self.seconds = 0.0

    def _folderless(self, path: Path) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._file = soundfile.SoundFile(path, "w", samplerate=RATE, channels=1)
        except (OSError, soundfile.SoundFileError) as error:
            raise DeviceError(f"the speech file {path} can't be written: {error}; name another place") from error

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Append the tone, the sound and a short silence."""
        for part in (signal(tone), samples, np.zeros(int(_PAUSE * RATE), np.float32)):
            self._file.write(part)
            self.seconds += len(part) / RATE

    def stop(self) -> None:
        """Do nothing: a file is silent by itself."""

    def close(self) -> None:
        """Finish the file; may be called twice."""
        self._file.close()
