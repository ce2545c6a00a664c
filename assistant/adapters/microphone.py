"""Holds the microphone as a source of sound. Never lets the sound card's thread do more than copy."""

from __future__ import annotations

import queue
import threading
import time
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
import soxr

from assistant.core.errors import DeviceError
from assistant.core.types import RATE
from assistant.system.sound_system import hold, release, rescan

if TYPE_CHECKING:
    from collections.abc import Iterator
    from types import ModuleType

    from numpy.typing import NDArray

BLOCK = 512
PATIENCE = 1.0
"""Time without a block after which the device counts as lost [second]; a block comes every 32 ms."""
STARTING = 4
"""So many times as long may the first block take: a sound server was seen to need 2 seconds to begin."""
WINDOW = 0.8
"""Time over which it is counted how much comes [second]."""
OFF, OFF_WINDOWS = 0.3, 2
"""By that share too much or too little, in so many windows in a row, and the device has changed its rate: a headset
that goes to calls halves it. A busy machine is late in one window, and makes up for it in the next."""
ROOM = 640
"""Blocks that may wait, about 20 seconds: on a busy machine a verdict may take ten; what comes on top is dropped and
counted."""
HOLD_OFF = 0.25
"""Sound that is dropped after the program spoke [second]: the room still rings, and what was captured is on its way.

With a loudspeaker that reached the microphone 0.1 second late, the last of it was in before `play` returned; the rest
is for larger rooms and slower devices."""


class Intake:
    """Hands blocks from the sound card's thread to the one that reads, and watches over both."""

    def __init__(self, device_rate: int = RATE, patience: float = PATIENCE) -> None:
        self.dropped = 0
        """Blocks lost because nobody read in time, or that the sound card itself reports as lost."""
        self._queue: queue.Queue[NDArray[np.float32] | None] = queue.Queue(ROOM)
        self._resampler = soxr.ResampleStream(device_rate, RATE, 1, dtype="float32")
        self._rate = device_rate
        self._patience = patience
        self._window, self._came, self._off = 0.0, 0, 0
        """When the window began, the frames that came in it, and the windows in a row that were off."""
        self._waiting = np.zeros(0, dtype=np.float32)
        self._deaf = 0
        self._begun = False
        self._ended = False

    def accept(self, block: NDArray[np.float32], frames: int, timing: object, status: object) -> None:
        """Copy one block, one column a channel; called in the sound card's thread, so it never waits or raises."""
        if status:
            self.dropped += 1
        try:
            self._queue.put_nowait(block.copy())
        except queue.Full:
            self.dropped += 1
        self._count(frames, time.monotonic(), lost=bool(status))

    def _count(self, frames: int, now: float, *, lost: bool = False) -> None:
        """Hold how much came against how much should have; where the sound card itself lost some, it tells nothing."""
        if lost or not self._window:
            self._came = 0
            self._window = now
            return
        self._came += frames
        if now - self._window < WINDOW:
            return
        share = self._came / ((now - self._window) * self._rate)
        self._off = self._off + 1 if abs(share - 1) > OFF else 0
        self._window, self._came = now, 0

    def end(self) -> None:
        """Let a waiting reader go at once; may be called from any thread."""
        self._ended = True
        with suppress(queue.Full):  # a reader does not wait on a full queue
            self._queue.put_nowait(None)

    def forget(self) -> None:
        """Drop what waits, and what comes in the next quarter of a second; called by the one that reads."""
        with self._queue.mutex:
            self._queue.queue.clear()
        self._waiting = self._waiting[:0]
        self._deaf = int(HOLD_OFF * RATE)

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield mono blocks at `RATE` until `end`; raises `DeviceError` when none came in time."""
        while (raw := self._next()) is not None:
            mono = raw.mean(axis=1, dtype=np.float32)
            self._take(self._resampler.resample_chunk(mono))
            while len(self._waiting) >= BLOCK:
                block, self._waiting = self._waiting[:BLOCK], self._waiting[BLOCK:]
                yield block

    def _take(self, samples: NDArray[np.float32]) -> None:
        """Add what may be heard to what waits."""
        unheard = min(self._deaf, len(samples))
        self._deaf -= unheard
        self._waiting = np.concatenate((self._waiting, samples[unheard:]))

    def _next(self) -> NDArray[np.float32] | None:
        patience = self._patience * (1 if self._begun else STARTING)
        try:
            raw = None if self._ended else self._queue.get(timeout=patience)
        except queue.Empty:
            message = (
                f"no sound came from the microphone for {patience:g} s: it was unplugged, taken by another "
                "program or put to sleep; plug it in again, the job is kept"
            )
            raise DeviceError(message, say="I lost the microphone. Plug it in again.") from None
        self._begun = True
        if self._off >= OFF_WINDOWS:
            message = (
                f"the microphone no longer gives {self._rate} samples a second: its rate changed; it is opened anew"
            )
            raise DeviceError(message, say="The microphone changed. I open it again.")
        return raw


class Microphone:
    """Implements `ports.SoundSource` over PortAudio; it opens at once and is used once."""

    def __init__(self, device_name: str | None = None, *, look_again: bool = False) -> None:
        """Open the microphone of that name, or the system's own choice; raises `DeviceError`.

        `look_again`: the devices may be others than when the program began.
        """
        sound = _sounddevice()
        if look_again:
            rescan(sound)
        device = _find(sound, device_name)
        self.name = str(device["name"])
        hold(self, lambda: False)
        try:
            self._intake, self._stream = _open(sound, device)
        except DeviceError:
            release(self)
            raise

    @property
    def dropped(self) -> int:
        """Blocks that were lost on the way so far."""
        return self._intake.dropped

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield mono blocks at `RATE` until closed; raises `DeviceError` when none came for 1 second."""
        return self._intake.blocks()

    def forget(self) -> None:
        """Drop what was captured while the program itself spoke, and the echo of it in the room."""
        self._intake.forget()

    def close(self) -> None:
        """Let the device go; may be called twice. An unplugged one may never answer, so the wait is bounded."""
        self._intake.end()
        closing = threading.Thread(target=self._close, daemon=True)
        closing.start()
        closing.join(timeout=2.0)

    def _close(self) -> None:
        self._stream.close(ignore_errors=True)
        release(self)


def list_microphones() -> tuple[str, ...]:
    """Return the names of all microphones that the system knows; raises `DeviceError` without PortAudio."""
    return tuple(str(device["name"]) for device in _microphones(_sounddevice()))


def check_microphone(wanted: str | None) -> None:
    """Raise `DeviceError` where no waiting helps: without PortAudio, and for a name that no microphone here has.

    Where there is none at all, one may be plugged in.
    """
    sound = _sounddevice()
    if wanted is not None and _microphones(sound):
        _find(sound, wanted)


def _sounddevice() -> ModuleType:
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        message = (
            f"the microphone needs the PortAudio library ({error}): on Debian and Ubuntu "
            "`sudo apt install libportaudio2`; on macOS and Windows reinstall the package sounddevice, which brings "
            "it; `--sound FILE` and `--typed` work without"
        )
        raise DeviceError(message, say="I cannot use the microphone. The PortAudio library is missing.") from error
    return sounddevice  # type: ignore[no-any-return]


def _microphones(sound: ModuleType) -> list[dict[str, Any]]:
    return [device for device in sound.query_devices() if device["max_input_channels"] > 0]


def _find(sound: ModuleType, wanted: str | None) -> dict[str, Any]:
    """Return the device by its name, or the one that the name is a part of; numbers change when one is replugged."""
    devices = _microphones(sound)
    if wanted is None:
        index = sound.default.device[0]
        found = [device for device in devices if device["index"] == index] or devices[:1]
    else:
        found = [device for device in devices if device["name"] == wanted] or [
            device for device in devices if wanted.casefold() in device["name"].casefold()
        ]
    if found and len({device["name"] for device in found}) == 1:
        return found[0]
    raise _not_found(wanted, [str(device["name"]) for device in devices], several=bool(found))


def _not_found(wanted: str | None, names: list[str], *, several: bool) -> DeviceError:
    if not names:
        message = "the system knows no microphone: plug one in; `--sound FILE` and `--typed` work without"
        return DeviceError(message, say="I find no microphone. Plug one in.")
    why = "fits several microphones" if several else "is not the name of a microphone"
    message = f"{wanted!r} {why}; there are: {', '.join(names)}; give one of these names"
    return DeviceError(message, say="I do not know that microphone. Choose one from the list.")


def _open(sound: ModuleType, device: dict[str, Any]) -> tuple[Intake, Any]:
    """Open at `RATE`, or else at the device's own rate, or else with its own channels too."""
    own_rate = int(device["default_samplerate"])
    own_channels = min(2, int(device["max_input_channels"]))
    refusals = []
    for rate, channels in dict.fromkeys(((RATE, 1), (own_rate, 1), (own_rate, own_channels))):
        intake = Intake(rate)
        stream = None
        try:
            stream = sound.InputStream(
                samplerate=rate,
                blocksize=BLOCK * rate // RATE,
                device=device["index"],
                channels=channels,
                dtype="float32",
                latency=0.1,  # the library's own choice can be seconds, on a sound server's default device
                callback=intake.accept,
            )
            stream.start()
        except sound.PortAudioError as error:
            refusals.append(f"at {rate} Hz: {error}")
            if stream is not None:
                stream.close()
            continue
        return intake, stream
    message = (
        f"the microphone {device['name']} does not open ({'; '.join(refusals)}): it may be in use by another "
        "program, may not know these rates, or this program may not be allowed to listen (allow it in the "
        "system's privacy settings; on Linux add yourself to the group audio); `--sound FILE` and `--typed` work"
    )
    raise DeviceError(message, say="The microphone does not open. Check permission and other programs.")
