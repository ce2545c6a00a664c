"""Keeps listening where the microphone goes away: gives silence meanwhile, so that time passes, and tries it again."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import chain
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from assistant.core.errors import DeviceError
from assistant.core.job.pauses import Pauses
from assistant.core.types import RATE
from assistant.path.revival import Revival
from assistant.ports import SoundSource

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Block: TypeAlias = NDArray[np.float32]

BLOCK = 512
GRACE = 1.5
"""Time without sound after which it is told [second]: a shorter gap is mended without a word."""
SETTLED = 10.0
"""A microphone that was there for so long is tried again at once [second]; a loose contact is not."""
MUTE_AFTER = 1.8
"""Digital silence after which a microphone counts as muted [second]: an open one has some noise of its own."""
SOUNDS_AFTER = 1.0
"""Sound after which it counts as muted no more [second]: who spoke at once is heard first."""
SHORT_SILENCE, GATED_BY = 0.1, 3
"""So many digital silences longer than that [second], and shorter than `MUTE_AFTER`, show a microphone that is shut
between words by something in it: its silence means nothing."""

MUTED = DeviceError(
    "the microphone gives nothing but digital silence: it is muted, or its plug is half out; it is listened to all the "
    "same, and opened anew now and then",
    say="I hear nothing at all. The microphone may be muted.",
)

NOT_OPEN = DeviceError("the microphone does not open, and does not say why", say="The microphone does not open.")


class KeptSource:
    """Implements `ports.LosableSource` over a source that can be opened again and again."""

    name = "the microphone"

    def __init__(self, open_again: Callable[[], SoundSource]) -> None:
        """Begin to open it in the background; `open_again` raises `DeviceError` where there is none."""
        self.lost: DeviceError | None = None
        self._open_again = open_again
        self._source: SoundSource | None = None
        self._fault: DeviceError | None = None
        self._pauses = Pauses()
        self._revival: Revival[tuple[SoundSource, Iterator[Block]]] | None = None
        self._heard_at = time.monotonic()
        self._opened_at = self._heard_at
        self._still = 0
        """Length of the digital silence that lasts [sample]."""
        self._sounding = 0
        """Length of what followed on it [sample]."""
        self._gates = 0
        self._gap = False
        self._closed = False
        self._revive(Pauses())

    # --- opening ---

    def _revive(self, pauses: Pauses) -> None:
        self._revival = Revival(self._opened, lambda found: found[0].close(), pauses)

    def _opened(self) -> tuple[SoundSource, Iterator[Block]]:
        """Return it with its blocks, once the first is there; called by a thread that may wait for ever."""
        old, self._source = self._source, None
        if old:
            old.close()
        source = self._open_again()
        try:
            blocks = source.blocks()
            return source, chain([next(blocks)], blocks)
        except StopIteration:
            source.close()
            raise DeviceError("the microphone ended at once", say="The microphone does not open.") from None
        except DeviceError:
            source.close()
            raise

    # --- listening ---

    def blocks(self) -> Iterator[Block]:
        """Yield mono blocks at `RATE` until closed: silence while there is no sound, at the pace of real time."""
        while not self._closed:
            if self._revival and (found := self._revival.take()):
                yield from self._live(*found)
            else:
                time.sleep(BLOCK / RATE)
                self._tell_if_long()
                yield np.zeros(BLOCK, np.float32)

    def _live(self, source: SoundSource, blocks: Iterator[Block]) -> Iterator[Block]:
        self._source, self._revival = source, None
        self.name = source.name
        self._opened_at = time.monotonic()
        try:
            for block in blocks:
                self._note(block)
                yield block
                if self._is_to_be_opened_anew():
                    raise MUTED
            if not self._closed:
                raise NOT_OPEN
        except DeviceError as fault:
            self._lose(fault)

    def _lose(self, fault: DeviceError) -> None:
        now = time.monotonic()
        self._gap, self._fault = True, fault
        settled = now - self._opened_at > SETTLED and fault is not MUTED
        self._pauses = Pauses() if settled else self._pauses.failed(now)
        self._revive(Pauses() if fault is MUTED else self._pauses)

    def _note(self, block: Block) -> None:
        """Note that sound came, and whether it is any."""
        self._heard_at = time.monotonic()
        if np.ptp(block) == 0:
            self._still, self._sounding = self._still + len(block), 0
            if self._still > MUTE_AFTER * RATE and self._gates < GATED_BY:
                self.lost = MUTED
            return
        self._gates += SHORT_SILENCE * RATE < self._still < MUTE_AFTER * RATE
        self._still, self._sounding = 0, self._sounding + len(block)
        if self.lost is not MUTED or self._sounding > SOUNDS_AFTER * RATE:
            self.lost, self._fault = None, None

    def _is_to_be_opened_anew(self) -> bool:
        """Tell whether one that is mute was so for a pause: opening it anew may help, and costs little."""
        there = time.monotonic() - self._opened_at
        return self.lost is MUTED and self._still > 0 and there > max(MUTE_AFTER, self._pauses.length)

    def _tell_if_long(self) -> None:
        if time.monotonic() - self._heard_at > GRACE and self.lost is not MUTED:
            tried = self._revival.fault if self._revival else None
            self.lost = self.lost or self._fault or tried or NOT_OPEN

    @property
    def broken(self) -> bool:
        """Whether sound was missing since this was asked last: what had begun then must not be put together."""
        gap, self._gap = self._gap, False
        return gap

    def forget(self) -> None:
        """Drop what was captured while the program itself spoke, and the echo of it in the room."""
        if source := self._source:
            source.forget()

    def close(self) -> None:
        """Let the device go; may be called twice."""
        self._closed = True
        if self._revival:
            self._revival.give_up()
        if source := self._source:
            source.close()
