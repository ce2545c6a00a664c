"""A virtual sound card: a PulseAudio server of its own, whose null sinks stand for loudspeaker and microphone.

Debian packages: pulseaudio, pulseaudio-utils, libasound2-plugins, libportaudio2. Programs that use the card run in
processes of their own, because PortAudio reads its environment once.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import soundfile

RATE = 16_000
LOUD = 0.02
"""Above any noise of the card, below any speech."""

_ALSA = "pcm.!default { type pulse }\nctl.!default { type pulse }\n"
_SYSTEM_ALSA = Path("/usr/share/alsa/alsa.conf")


def is_possible() -> bool:
    """Whether PulseAudio and PortAudio are here."""
    if not (shutil.which("pulseaudio") and shutil.which("parec")):
        return False
    return (
        subprocess.run([sys.executable, "-c", "import sounddevice"], capture_output=True, check=False).returncode == 0
    )


class Card:
    """A server with the sinks `bench`, whose sound is heard by its own microphone, `mouth` and `ears`."""

    def __init__(self, home: Path) -> None:
        """Start the server; OSError where it does not start."""
        self._home, self._socket = home, home / "native"
        alsa = f"<{_SYSTEM_ALSA}>\n{_ALSA}" if _SYSTEM_ALSA.exists() else _ALSA
        (home / "asound.conf").write_text(alsa, encoding="utf-8")
        own = {key: value for key, value in self.environment("bench", "bench").items() if key != "PULSE_SERVER"}
        sinks = [part for name in ("bench", "mouth", "ears")
                 for part in ("-L", f"module-null-sink sink_name={name} rate=48000")]  # fmt: skip
        self.server = subprocess.Popen(
            [
                "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disallow-exit", *sinks,
                "-L", f"module-native-protocol-unix auth-anonymous=1 socket={self._socket}",
            ],
            env=own, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        deadline = time.monotonic() + 10
        while subprocess.run(["pactl", "info"], env=self.environment(), capture_output=True, check=False).returncode:
            if time.monotonic() > deadline or self.server.poll() is not None:
                self.server.kill()
                self.server.wait()
                raise OSError("the virtual sound card did not start")

    def environment(self, loudspeaker: str = "mouth", microphone: str = "ears") -> dict[str, str]:
        """Return the environment of a program that plays into one sink and hears another."""
        return {
            **os.environ,
            "HOME": str(self._home),
            "XDG_RUNTIME_DIR": str(self._home),
            "PULSE_RUNTIME_PATH": str(self._home),
            "PULSE_SERVER": f"unix:{self._socket}",
            "PULSE_SINK": loudspeaker,
            "PULSE_SOURCE": f"{microphone}.monitor",
            "ALSA_CONFIG_PATH": str(self._home / "asound.conf"),
        }

    def play(self, file: Path, sink: str) -> None:
        """Play a WAV file into a sink, and return when it was heard."""
        subprocess.run(["paplay", "-d", sink, str(file)], env=self.environment(), check=True, timeout=60)

    @contextmanager
    def room(self, sink: str) -> Iterator[None]:
        """Let a sink hiss faintly, as a room does: digital silence comes from muted microphones only."""
        file = self._home / "room.wav"
        hiss = np.random.default_rng(1).normal(0, 0.001, 300 * RATE).astype(np.float32)
        soundfile.write(file, hiss, RATE, subtype="FLOAT")
        playing = subprocess.Popen(["paplay", "-d", sink, str(file)], env=self.environment())
        try:
            yield
        finally:
            playing.kill()
            playing.wait()

    def control(self, *words: str) -> str:
        """Tell or ask the server something; returns its answer."""
        done = subprocess.run(["pactl", *words], env=self.environment(), capture_output=True, text=True, check=True)
        return done.stdout

    def is_heard(self, sink: str) -> bool:
        """Whether a program listens to a sink that is not one of this module's recorders."""
        return f"{sink}.monitor" in self.control("list", "sources") and any(
            'application.name = "parec"' not in stream and "application.name" in stream
            for stream in self.control("list", "source-outputs").split("Source Output #")
        )

    def close(self) -> None:
        """End the server."""
        self.server.terminate()
        self.server.wait(timeout=10)


class Recorder:
    """Records what is played into a sink, from its beginning to `close`."""

    def __init__(self, card: Card, sink: str) -> None:
        command = ["parec", "--format=float32le", f"--rate={RATE}", "--channels=1", "-d", f"{sink}.monitor",
                   "--latency-msec=20"]  # fmt: skip
        self._raw = bytearray()
        self._process = subprocess.Popen(command, env=card.environment(), stdout=subprocess.PIPE)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        wait_until(lambda: len(self._raw) > 0, 10, "the recording does not begin")
        self.began = time.time() - len(self._raw) / 4 / RATE
        """When its first sample was captured, by the clock of the computer, some 20 milliseconds late."""

    def _read(self) -> None:
        assert self._process.stdout
        while piece := self._process.stdout.read1(4096):
            self._raw += piece

    @property
    def sound(self) -> np.ndarray:
        """All that was recorded so far."""
        raw = bytes(self._raw)
        return np.frombuffer(raw[: len(raw) // 4 * 4], np.float32)

    @property
    def quiet(self) -> float:
        """How long there has been silence [second]."""
        loud = np.flatnonzero(np.abs(self.sound) > LOUD)
        return (len(self.sound) - (loud[-1] if len(loud) else 0)) / RATE

    def close(self) -> None:
        """End the recording."""
        self._process.terminate()
        self._process.wait(timeout=10)
        self._reader.join(timeout=10)
        if self._process.stdout:
            self._process.stdout.close()


def wait_until(happened, seconds: float, otherwise: str):
    """Wait for an event and return what it gave; fail where it does not come in time [second]."""
    deadline = time.monotonic() + seconds
    while not (found := happened()):
        assert time.monotonic() < deadline, otherwise
        time.sleep(0.02)
    return found


def with_lead(recording: Path, out: Path, lead: float = 0.5) -> Path:
    """Write a recording as WAV with silence before it [second]: a person does not answer at once either.

    It is faded in over two milliseconds: hiss that begins at once has a click, which the voice detector took for a
    voice in 4 of 24. A longer fade takes the beginning off a word that begins at once, so that it is noticed too late.
    """
    samples, rate = soundfile.read(recording, dtype="float32")
    fade = rate // 500
    samples[:fade] *= np.linspace(0, 1, fade, dtype=np.float32)
    soundfile.write(out, np.concatenate([np.zeros(int(lead * rate), np.float32), samples]), rate)
    return out
