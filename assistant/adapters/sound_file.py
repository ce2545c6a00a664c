"""Holds the sound file as a source of sound, of any usual format and rate. Never writes one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soundfile
import soxr

from assistant.core.errors import DataError
from assistant.core.types import RATE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

BLOCK = 512
SLOWEST, FASTEST = 4_000, 384_000
"""Rates that are believed [hertz]: below, no words are left; above, the header is damaged."""


class SoundFile:
    """Implements `ports.SoundSource`: WAV, FLAC or OGG, mono or more, read piece by piece."""

    def __init__(self, path: Path | str) -> None:
        """Open the file; raises `DataError` where it is missing, empty or no sound."""
        self._path = Path(path)
        self.name = self._path.name
        self._file = _open(self._path)

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """Yield what is left of the file, mono at `RATE`, 512 samples a block, zeros after the end."""
        waiting = np.zeros(0, dtype=np.float32)
        for piece in self._pieces():
            waiting = np.concatenate((waiting, piece))
            whole = len(waiting) - len(waiting) % BLOCK
            yield from waiting[:whole].reshape(-1, BLOCK)
            waiting = waiting[whole:]
        if len(waiting):
            yield np.pad(waiting, (0, BLOCK - len(waiting)))

    def _pieces(self) -> Iterator[NDArray[np.float32]]:
        """Yield the file mono at `RATE`, a quarter of a second at a time."""
        resampler = soxr.ResampleStream(self._file.samplerate, RATE, 1, dtype="float32")
        frames = self._file.samplerate // 4
        while not self._file.closed:
            try:
                piece = self._file.read(frames, dtype="float32", always_2d=True)
            except soundfile.LibsndfileError as error:
                raise _wrong(self._path, f"it is damaged ({error})", "record or copy it again") from error
            mono = piece.mean(axis=1, dtype=np.float32)
            if not np.isfinite(mono).all():
                raise _wrong(self._path, "it holds samples that are no numbers", "record it again")
            last = len(mono) < frames
            yield resampler.resample_chunk(mono, last=last)
            if last:
                return

    def forget(self) -> None:
        """Do nothing: a file holds nobody's voice but the person's."""

    def close(self) -> None:
        """Let the file go; may be called twice."""
        self._file.close()


def read_sound(path: Path | str) -> NDArray[np.float32]:
    """Return the whole file, mono at `RATE`; raises `DataError` as `SoundFile` does."""
    source = SoundFile(path)
    try:
        return np.concatenate(list(source._pieces()))
    finally:
        source.close()


def _open(path: Path) -> soundfile.SoundFile:
    if not path.exists():
        raise _wrong(path, "there is no such file", "check its name and folder")
    if path.is_dir():
        raise _wrong(path, "it is a folder", "name one sound file inside it")
    if not path.is_file():
        raise _wrong(path, "it is a pipe or a device", "name a sound file")  # a pipe would be waited for
    try:
        if path.stat().st_size == 0:
            raise _wrong(path, "it is empty (0 bytes)", "record it again")
        file = soundfile.SoundFile(path)
    except OSError as error:
        raise _wrong(path, f"it cannot be read ({error.strerror})", "check who may read it") from error
    except (soundfile.LibsndfileError, TypeError) as error:  # TypeError: headerless, by its ending `.raw`
        raise _wrong(path, "it is no sound file that can be read", "give a WAV, FLAC or OGG file") from error
    fault = _fault(file)
    if fault:
        file.close()
        raise _wrong(path, fault, "record it again")
    return file


def _fault(file: soundfile.SoundFile) -> str | None:
    if file.frames == 0:
        return "it holds no sound (its length is zero)"
    if not SLOWEST <= file.samplerate <= FASTEST:
        return f"its rate is {file.samplerate} Hz ({SLOWEST} to {FASTEST} Hz are allowed)"
    return None


def _wrong(path: Path, why: str, mend: str) -> DataError:
    return DataError(f"{path}: {why}; {mend}", say=f"I cannot use the sound file: {why.split(' (')[0]}.")
