"""Text to speech by a program of the system, one run a text: what is fallen back to where the usual voice fails."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.core.errors import DeviceError
from assistant.core.types import RATE
from assistant.system.engine_process import LONGEST, STALLED, TICK, worked

WORDS_A_MINUTE = 145
"""As the usual voice."""
LIMIT = 4.0
"""Time of its own that one text may take [second]; usual is a tenth of one."""
PROGRAMS: Mapping[str, Callable[[str, str], list[str]]] = {
    "espeak-ng": lambda file, text: ["-s", str(WORDS_A_MINUTE), "-w", file, "--", text],
    "espeak": lambda file, text: ["-s", str(WORDS_A_MINUTE), "-w", file, "--", text],
    "flite": lambda file, text: ["-o", file, "-t", text],
    "say": lambda file, text: ["-r", str(WORDS_A_MINUTE), "-o", file, "--data-format=LEI16@22050", "--", text],
}
"""Programs that write a text to a WAV file, with their arguments; `say` comes with macOS. For Windows none is known."""


class ProgramSpeech:
    """Implements `ports.Speech`."""

    def __init__(self, program: str) -> None:
        """Take the name of one of `PROGRAMS`."""
        self.name = program
        self._kept: dict[str, NDArray[np.float32]] = {}

    def render(self, text: str) -> NDArray[np.float32]:
        """Return the spoken text; `DeviceError` where the program fails."""
        line = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
        if line not in self._kept:
            self._kept = {line: self._rendered(line)}
        return self._kept[line]

    def _rendered(self, text: str) -> NDArray[np.float32]:
        with tempfile.TemporaryDirectory(prefix="speech-") as folder:
            file = str(Path(folder) / "said.wav")
            try:
                _run([self.name, *PROGRAMS[self.name](file, text)], Path(file))
                samples, rate = soundfile.read(file, dtype="float32", always_2d=True)
            except (OSError, subprocess.SubprocessError, soundfile.SoundFileError) as error:
                raise DeviceError(f"the voice {self.name} fails ({error})", say="No voice.") from error
        resampled = np.asarray(soxr.resample(samples.mean(axis=1), rate, RATE), dtype=np.float32)
        return np.clip(resampled, -1.0, 1.0)

    def prepare(self, text: str) -> None:
        """Do nothing: it is quick."""

    def close(self) -> None:
        """Do nothing: nothing runs between two texts."""


def _run(command: list[str], file: Path) -> None:
    """Run a program until it ends; OSError where it fails, hangs, or works for too long.

    As with the engines looks are counted, in which it neither worked nor its file grew: one that is slow on a busy
    machine is waited for. On macOS another process does the work, and only the file tells.
    """
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as program:
        try:
            _await(program, file)
        finally:
            program.kill()
    if program.returncode:
        raise OSError(f"it ended with code {program.returncode}")


def _await(program: subprocess.Popen[bytes], file: Path) -> None:
    before, stalled = (0.0, 0), 0
    for _ in range(int(LONGEST * LIMIT / TICK)):
        with suppress(subprocess.TimeoutExpired):
            program.wait(TICK)
            return
        now = worked(program.pid), file.stat().st_size if file.exists() else 0
        stalled = stalled + 1 if now == before else 0
        before = now
        if stalled >= STALLED or now[0] > LIMIT:
            break
    raise OSError("it hangs" if stalled >= STALLED else "it takes too long")


def found_programs() -> tuple[ProgramSpeech, ...]:
    """Return the voices that this system has, best first."""
    return tuple(ProgramSpeech(name) for name in PROGRAMS if shutil.which(name))
