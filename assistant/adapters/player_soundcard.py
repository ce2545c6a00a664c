"""Plays sound to a loudspeaker, and can be silenced at once. PortAudio is loaded only here and only when asked for."""

from __future__ import annotations

import atexit
import threading
import time
from contextlib import suppress
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.reply.tones import signal
from assistant.core.types import RATE, Tone
from assistant.system.sound_system import hold, release, rescan, undisturbed

BLOCK = 0.03
"""Length of what is handed to the device at once [second]: the longest that `stop` has to wait for."""

WAKE = 0.3
"""Silence before the sound: a sleeping loudspeaker swallows the beginning [second]."""

TAIL = 0.2
"""Silence after the sound: a sound server was seen to drop the last 0.1 second of what it was handed [second]."""

PATIENCE, AT_FIRST = 1.5, 4.0
"""Time after which a device that takes no more sound counts as lost, and one that has not begun to [second]: one that
starts was seen to need 2 to 3."""
LEAST_LOOKS = 10
"""So often it must have been looked meanwhile: where this process itself gets no time, or the computer slept, it is not
the device that hangs."""


class SoundCardPlayer:
    """Implements `ports.Player` with one output stream, which runs while something is played.

    An unplugged device may never answer, so a thread of its own hands over the sound, and is left behind then.
    """

    def __init__(self, device: str | None = None, *, look_again: bool = False) -> None:
        """Open the device of that name, or the default one; DeviceError says what to install or plug in.

        `look_again`: the devices may be others than when the program began; while a microphone is open they can't be
        looked for.
        """
        self._sounddevice = _sounddevice()
        if look_again:
            rescan(self._sounddevice)
        self.name = device or "the default loudspeaker"
        self._stopped = threading.Event()
        self._working: threading.Thread | None = None
        self._fault: Exception | None = None
        self._lost = False
        self._moved = 0.0
        self._looks = 0
        self._begun = False
        """Whether the device has taken more of the present sound than a buffer holds: it surely plays."""
        self._device = device
        self._stream: Any = None
        self._rate = RATE
        self._open_if_closed()

    def _open_if_closed(self) -> None:
        """Open it, also again where it was closed because devices were looked for anew."""
        if self._stream is None:
            self._rate, self._stream = self._open(self._device)
            hold(self, self._let_go)

    def _let_go(self) -> bool:
        """Close the stream, and return whether it was not needed; a thread that still hangs in it needs it."""
        if self._working and self._working.is_alive():
            return False
        if self._stream is not None:
            self._stream.close(ignore_errors=True)
            self._stream = None
        return True

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
        known = ", ".join(each["name"] for each in self._sounddevice.query_devices() if each["max_output_channels"])
        raise DeviceError(
            f"{self.name} can't be opened ({fault}). Loudspeakers here: {known or 'none, plug one in'}; "
            "until then replies go to the screen",
            say="There is no loudspeaker.",
        )

    def play(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Play the tone and the sound; returns when the last of it was heard, or `stop` came."""
        self.start(samples, tone)
        self._wait()

    def start(self, samples: NDArray[np.float32], tone: Tone = Tone.PLAIN) -> None:
        """Begin to play and return at once; cuts off what sounds, and raises what went wrong with that."""
        self.stop()
        self._wait()
        with undisturbed():
            self._open_if_closed()
            self._stopped.clear()
            self._moved, self._looks, self._begun = time.monotonic(), 0, False
            self._working = threading.Thread(target=self._work, args=(self._shape(samples, tone),), daemon=True)
            self._working.start()

    @property
    def playing(self) -> bool:
        """Whether something sounds; a device that takes no sound any more counts as silent, and as lost."""
        if not (self._working and self._working.is_alive()):
            return False
        self._looks += 1
        patience = PATIENCE if self._begun else AT_FIRST
        self._lost = self._lost or (self._looks > LEAST_LOOKS and time.monotonic() - self._moved > patience)
        return not self._lost

    def _wait(self) -> None:
        """Wait until nothing sounds; DeviceError where the device failed meanwhile or before."""
        while self.playing and self._working:
            self._working.join(BLOCK)
        if self._lost:
            # PortAudio's farewell at the end of the program would wait for the device for ever.
            atexit.unregister(getattr(self._sounddevice, "_exit_handler", self.close))
            self._fault = TimeoutError("it takes no sound any more: plug it in again")
        if fault := self._fault:
            self._fault = None
            raise DeviceError(f"{self.name} failed ({fault}); until it is back, replies go to the screen", say="")

    def _shape(self, samples: NDArray[np.float32], tone: Tone) -> NDArray[np.float32]:
        """Return what is handed over, at the device's rate: the last of its silence outlasts the device's delay."""
        before, after = (np.zeros(int(long * RATE), np.float32) for long in (WAKE, TAIL + self._stream.latency))
        sound = np.concatenate([before, signal(tone), samples, after])
        return sound if self._rate == RATE else np.asarray(soxr.resample(sound, RATE, self._rate), np.float32)

    def _work(self, sound: NDArray[np.float32]) -> None:
        block = int(BLOCK * self._rate)
        buffered = (WAKE + 2 * self._stream.latency) * self._rate
        try:
            self._stream.start()
            for start in range(0, len(sound), block):
                self._moved, self._looks, self._begun = time.monotonic(), 0, start > buffered
                if self._stopped.is_set():
                    break
                self._stream.write(np.ascontiguousarray(sound[start : start + block]).reshape(-1, 1))
            self._stream.abort()  # all that may still be on its way is silence, or is wanted silent
        except self._sounddevice.PortAudioError as error:
            self._fault = error

    def stop(self) -> None:
        """Be silent within a block and the device's own delay; may be called from any thread."""
        self._stopped.set()

    def close(self) -> None:
        """Let the device go; may be called twice."""
        self.stop()
        with suppress(DeviceError):
            self._wait()
        with undisturbed():
            if self._let_go():
                release(self)


def _sounddevice() -> Any:
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        raise DeviceError(
            "PortAudio is missing, so there is no loudspeaker. Debian and Ubuntu: sudo apt install libportaudio2. "
            "macOS and Windows: pip install --force-reinstall sounddevice. Replies go to the screen and the file",
            say="There is no loudspeaker.",
        ) from error
    return sounddevice
