"""Holds a filter that takes engine hum out of a stream before a voice is looked for. Never sees a device."""

from __future__ import annotations

from math import cos, pi, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import ReadingError
from assistant.core.types import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray


class HighPass:
    """Second-order Butterworth high-pass; keeps its state, so a stream may come in blocks of any length.

    The coefficients are those of the Audio EQ Cookbook (W3C Working Group Note, 8 June 2021), `HPF`,
    with Q = 1/√2.
    """

    def __init__(self, corner: float = 130.0) -> None:
        """Set the frequency that is let through at −3 dB [hertz], between 0 and half of `RATE`."""
        if not 0 < corner < RATE / 2:
            message = f"the corner of a high-pass must lie between 0 and {RATE // 2} Hz, not {corner:g} Hz"
            raise ReadingError(message)
        omega = 2 * pi * corner / RATE
        alpha = sin(omega) / sqrt(2)
        scale = 1 + alpha
        self._gain = (1 + cos(omega)) / 2 / scale
        self._back_one = -2 * cos(omega) / scale
        self._back_two = (1 - alpha) / scale
        self.reset()

    def reset(self) -> None:
        """Forget what came before."""
        self._one = 0.0
        self._two = 0.0

    def __call__(self, block: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the block filtered, going on from the block before (transposed direct form II)."""
        one, two = self._one, self._two
        gain, back_one, back_two = self._gain, self._back_one, self._back_two
        filtered = []
        for sample in block.tolist():
            driven = gain * sample
            out = driven + one
            one = two - 2 * driven - back_one * out
            two = driven - back_two * out
            filtered.append(out)
        self._one, self._two = one, two
        return np.asarray(filtered, dtype=np.float32)
