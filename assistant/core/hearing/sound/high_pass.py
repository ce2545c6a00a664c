"""Holds a filter that takes engine hum out of a stream before a voice is looked for. Never sees a device."""

from __future__ import annotations

from math import cos, pi, sin, sqrt
from typing import TYPE_CHECKING

import numpy as np

from assistant.core.errors import ReadingError
from assistant.core.types import RATE

if TYPE_CHECKING:
    from numpy.typing import NDArray

STRETCH = 128
"""So many samples are filtered at once, by one product of a matrix: one by one they take several times as long."""


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
        self._passages: dict[int, NDArray[np.float64]] = {}
        self.reset()

    def reset(self) -> None:
        """Forget what came before."""
        self._state = np.zeros(2)

    def __call__(self, block: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the block filtered, going on from the block before."""
        filtered = np.empty(len(block), np.float32)
        for start in range(0, len(block), STRETCH):
            samples = block[start : start + STRETCH]
            passed = self._passage(len(samples)) @ np.concatenate((samples, self._state))
            filtered[start : start + STRETCH], self._state = passed[:-2], passed[-2:]
        return filtered

    def _passage(self, samples: int) -> NDArray[np.float64]:
        """Return the matrix that takes samples and a state to those filtered and the state that follows."""
        if samples not in self._passages:
            into = np.eye(samples + 2)  # each unit sample, and each unit state, goes its way through the filter
            one, two = into[-2], into[-1]
            out = np.empty_like(into)
            for place in range(samples):  # transposed direct form II
                driven = self._gain * into[place]
                out[place] = driven + one
                one = two - 2 * driven - self._back_one * out[place]
                two = driven - self._back_two * out[place]
            out[-2], out[-1] = one, two
            self._passages[samples] = out
        return self._passages[samples]
