"""Plays sound to a loudspeaker, and can be silenced at once. PortAudio is loaded only here and only when asked for."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.tones import signal
from assistant.core.types import RATE, Tone

BLOCK = 0.03
"""Length of what is handed to the device at once [second]: the longest that `stop` has to wait for."""

WAKE = 0.3
"""Silence before the sound: a sleeping loudspeaker swallows the beginning [second]."""

TAIL = 0.2
"""Silence after the sound: a sound server was seen to drop the last 0.1 second of what it was handed [second]."""


class SoundCardPlayer:
    """Implements `ports.Player` with one output stream, which runs while something is played."""

    def __init__(self, device: str | None = None) -> None:
        """Open the device of that name, or the default one; DeviceError says what to install or plug in."""
        self._sounddevice = _sounddevice()
        self.name = device or "the default loudspeaker"
        self._stopped = threading.Event()
        self._rate, self._stream = self._open(device)

    def _open(self, device: str | None) -> tuple[int, Any]:
        fault: Exception | None = None
        for rate in (RATE, None):
            try:
                wanted = rate or int(self._sounddevice.query_devices(device, "output")["default_samplerate"])
                stream = self._sounddevice.OutputStream(
                    samplerate=wanted, channels=1, dtype="float32", device=device, latency=0.1
                )
            except (self._sounddevice.PortAudioError, ValueError) as error:
                fault = error
            else:
                return wanted, stream
        raise DeviceError(
            f"{self.name} can't be opened ({fault}). Check that it is plugged in; replies go to the screen",
            say="There is no loudspeaker.",
        )

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Play the tone and the sound; returns when the last of it was heard, or `stop` came."""
        self._stopped.clear()
        wake, tail = (np.zeros(int(seconds * RATE), np.float32) for seconds in (WAKE, TAIL))
        parts = np.concatenate([wake, signal(tone), samples, tail])
        sound = parts if self._rate == RATE else np.asarray(soxr.resample(parts, RATE, self._rate), np.float32)
        block = int(BLOCK * self._rate)
        try:
            self._stream.start()
            for start in range(0, len(sound), block):
                if self._stopped.is_set():
                    self._stream.abort()
                    return
                self._stream.write(np.ascontiguousarray(sound[start : start + block]).reshape(-1, 1))
            self._drain()
        except self._sounddevice.PortAudioError as error:
            raise DeviceError(f"{self.name} failed ({error}); replies go to the screen", say="") from error

    def _drain(self) -> None:
        """Wait until the device has played what it was handed, and stay ready to be silenced meanwhile."""
        draining = threading.Thread(target=self._stream.stop, daemon=True)
        draining.start()
        while draining.is_alive():
            draining.join(BLOCK)
            if self._stopped.is_set():
                self._stream.abort()
                return

    def stop(self) -> None:
        """Be silent within a block and the device's own delay; may be called from any thread."""
        self._stopped.set()

    def close(self) -> None:
        """Let the device go; may be called twice."""
        self._stream.close()


def _sounddevice() -> Any:
    try:
        import sounddevice
    except OSError as error:
        raise DeviceError(
            "PortAudio is missing, so there is no loudspeaker. Debian and Ubuntu: sudo apt install libportaudio2. "
            "macOS and Windows: pip install --force-reinstall sounddevice. Replies go to the screen and the file",
        ) from error
    return sounddevice
