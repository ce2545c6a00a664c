"""Metric threads as people say and write them, and what area of the bolt carries. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from assistant.core.compute.calculation import Calculation, Form, Input, Row
from assistant.core.compute.real import amount_of
from assistant.core.compute.result import Result
from assistant.core.errors import ReadingError
from assistant.core.hearing.numbers import number_of, written_as_words

_WRITTEN = re.compile(r"m ?(?P<diameter>\d+(?:\.\d+)?)(?:\s*(?:x|×|by|\*)\s*(?P<pitch>\d*\.?\d+))?", re.IGNORECASE)
_SAID = re.compile(r"m (?P<diameter>[a-z -]+?)(?: by (?P<pitch>[a-z -]+))?")


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread: nominal diameter and pitch [millimetre]."""

    diameter: float
    pitch: float

    @property
    def flank_diameter(self) -> float:
        """Return d2 = d - 0.649519·P [millimetre] (ISO 724; from memory, proven by the printed stress areas)."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def stress_diameter(self) -> float:
        """Return (d2 + d3)/2 with d3 = d - 1.226869·P [millimetre] (ISO 898-1)."""
        return (self.flank_diameter + self.diameter - 1.226869 * self.pitch) / 2

    @property
    def stress_area(self) -> float:
        """Return the area that carries [square millimetre]."""
        return pi / 4 * self.stress_diameter**2

    def __str__(self) -> str:
        return f"M{self.diameter:g}×{self.pitch:g}"


def read_thread(text: str, metric_threads: Sequence[Row]) -> Thread:
    """Return the thread that a text names: `M14×1.5`, `M8`, or "M fourteen by one point five".

    Without a pitch it is the coarse one. ReadingError for what is no metric thread of 3 to 36 mm.
    """
    found = _WRITTEN.fullmatch(text.strip())
    words = found or _SAID.fullmatch(written_as_words(text))
    if not words:
        raise _unknown(text)
    diameter = _number(words["diameter"], text)
    coarse = next((float(row["coarse_pitch"]) for row in metric_threads if float(row["diameter"]) == diameter), None)
    pitch = _number(words["pitch"], text) if words["pitch"] else coarse
    if pitch is None:
        raise ReadingError(
            f"{text!r}: the coarse pitch of that diameter is not in the table: write it, for instance M14x1.5",
            say="I need the pitch of that thread too.",
        )
    if not 3 <= diameter <= 36 or not 0.25 <= pitch <= diameter / 4:
        raise _unknown(text)
    return Thread(diameter, pitch)


def _number(text: str, whole: str) -> float:
    try:
        return float(text)
    except ValueError:
        pass
    try:
        return float(number_of(text.replace("-", " ").split()))
    except ReadingError as error:
        raise _unknown(whole) from error


def _unknown(text: str) -> ReadingError:
    return ReadingError(
        f"{text!r} is no metric thread from M3 to M36: write it as M14x1.5, or M8 for the coarse pitch",
        say="I do not know that thread. Say it like: M fourteen by one point five.",
    )


def stress_area(thread: str, metric_threads: Sequence[Row]) -> Result:
    """Return the area of a bolt that carries; a thread without its pitch is the coarse one.

    References
    ----------
    ISO 898-1: A = π/4·((d2 + d3)/2)².
    """
    read = read_thread(thread, metric_threads)
    return Result(
        value=amount_of(read.stress_area, "square_millimetre"),
        because="It is the area between the flanks and the root of the thread.",
        inputs=(("thread", str(read)),),
        more=(("pitch", amount_of(read.pitch, "millimetre")),),
        source="ISO 898-1",
    )


THREAD = Input("thread", Form.TEXT, "metric thread, for instance M14x1.5; M8 is the coarse one")

CALCULATIONS = (
    Calculation(
        name="stress-area",
        subject="torque",
        title="the area of a bolt that carries",
        inputs=(THREAD,),
        work=stress_area,
        example={"thread": "M14 by one point five"},
        formula="π/4·((d2 + d3)/2)²",
        source="ISO 898-1",
        valid="metric threads of 3 to 36 mm",
        tables=("metric-threads",),
    ),
)
