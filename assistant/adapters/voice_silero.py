"""Holds the voice activity detector, Silero. Never decides where speech ends.

The weights are those in the package `faster-whisper`, run by ONNX Runtime on one thread: a block of 32 ms takes 0.2 ms
of a core, a tenth of what a library of its own took.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import Bug, DeviceError
from assistant.core.hearing.high_pass import HighPass

if TYPE_CHECKING:
    from numpy.typing import NDArray

BLOCK = 512
"""The one block length that the model takes [sample]."""
BEFORE = 64
"""So many samples of the block before it hears again [sample]."""
_NOTHING = np.zeros((1, 1, 128), np.float32)
"""What it remembers at the beginning; it keeps two of these from block to block."""


class SileroVoice:
    """Implements `ports.VoiceActivity`; a high-pass before it keeps engine hum out of the model's sight."""

    def __init__(self, corner: float = 130.0) -> None:
        """Load the model; `corner` is where the high-pass begins [hertz]; raises `DeviceError`."""
        try:
            import onnxruntime

            options = onnxruntime.SessionOptions()
            options.intra_op_num_threads = options.inter_op_num_threads = 1
            self._model = onnxruntime.InferenceSession(_weights(), options, providers=["CPUExecutionProvider"])
        except Exception as error:  # the runtime has its own errors for each way in which a file can be damaged
            message = f"voice activity cannot be loaded ({error}): reinstall the package faster-whisper"
            raise DeviceError(message, say="I cannot listen. The voice detector is not installed.") from error
        self._high_pass = HighPass(corner)
        self._before: NDArray[np.float32] = np.zeros(BEFORE, np.float32)
        self._memory: tuple[NDArray[np.float32], NDArray[np.float32]] = (_NOTHING, _NOTHING)

    def __call__(self, block: NDArray[np.float32]) -> float:
        """Return the probability of a voice in one block, 0 to 1."""
        if len(block) != BLOCK:
            message = f"voice activity takes blocks of {BLOCK} samples, not {len(block)}"
            raise Bug(message)
        sound = np.concatenate((self._before, self._high_pass(block)))
        self._before = sound[-BEFORE:]
        short, long = self._memory
        found, short, long = self._model.run(None, {"input": sound[None], "h": short, "c": long})
        self._memory = short, long
        return float(found[0])

    def reset(self) -> None:
        """Forget what came before."""
        self._memory = (_NOTHING, _NOTHING)
        self._before = np.zeros(BEFORE, np.float32)
        self._high_pass.reset()


def _weights() -> Path:
    spec = find_spec("faster_whisper")  # only its data is wanted: the package itself takes a second to load
    if spec is None or spec.origin is None:
        raise FileNotFoundError("its weights are missing")
    return Path(spec.origin).parent / "assets" / "silero_vad_v6.onnx"
