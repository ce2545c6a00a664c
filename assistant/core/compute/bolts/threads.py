"""Metric and inch threads as people say and write them, and what area of the bolt carries. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import rows_where
from assistant.core.compute.base.real import amount_of
from assistant.core.compute.base.result import Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.figures import written_as_words
from assistant.core.quantities.number_words import number_of

_WRITTEN = re.compile(r"m ?(?P<diameter>\d+(?:[.,]\d+)?)(?:\s*(?:x|×|by|\*)\s*(?P<pitch>\d*[.,]?\d+))?", re.IGNORECASE)
_SAID = re.compile(r"m (?P<diameter>[a-z -]+?)(?: by (?P<pitch>[a-z -]+))?")
_INCH = re.compile(
    r"(?P<size>#10|1|\d+/\d+)(?: ?in| inch| ?\")?(?:(?: ?- ?| )(?P<turns>\d+))?(?: ?(?P<series>UNC|UNF))?",
    re.IGNORECASE,
)
INCH = ("UNC", "UNF")


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread of 60°: nominal diameter and pitch [millimetre]."""

    diameter: float
    pitch: float
    inch: str = ""
    """Size and series of an inch thread, for instance `3/8-16 UNC`; a metric one has none."""

    @property
    def flank_diameter(self) -> float:
        """Return d2 = d - 0.649519·P [millimetre] (ISO 724; from memory, proven by the printed stress areas)."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def stress_diameter(self) -> float:
        """Return (d2 + d3)/2 [millimetre], with d3 = d - 1.226869·P, and 1.299038·P of inch threads."""
        root = 1.299038 if self.inch else 1.226869
        return (self.flank_diameter + self.diameter - root * self.pitch) / 2

    @property
    def stress_area(self) -> float:
        """Return the area that carries [square millimetre]."""
        return pi / 4 * self.stress_diameter**2

    def __str__(self) -> str:
        return self.inch or f"M{self.diameter:g}×{self.pitch:g}"


def read_thread(text: str, threads: Sequence[Row]) -> Thread:
    """Return the thread that a text names: `M14×1.5`, `M8`, "M fourteen by one point five", `3/8-16`, `3/8 UNF`.

    Without a pitch a metric one is coarse. ReadingError for what is no metric thread of 3 to 36 mm, and no coarse (UNC)
    or fine (UNF) inch thread of the table; an inch size needs its threads an inch or its series.
    """
    if inch := _INCH.fullmatch(text.strip()):
        return _inch_thread(inch, threads, text)
    found = _WRITTEN.fullmatch(text.strip())
    words = found or _SAID.fullmatch(written_as_words(text))
    if not words:
        raise _unknown(text)
    diameter = _number(words["diameter"], text)
    metric = rows_where(threads, series="metric")
    coarse = next((float(row["pitch"]) for row in metric if float(row["diameter"]) == diameter), None)
    pitch = _number(words["pitch"], text) if words["pitch"] else coarse
    if pitch is None:
        near = sorted(rows_where(threads, series="metric"), key=lambda row: abs(float(row["diameter"]) - diameter))
        raise ReadingError(
            f"{text!r}: no coarse pitch of it is in the table: write it, as M14x1.5, or did you mean "
            f"{near[0]['size']} or {near[1]['size']}?",
            say="I need the pitch of that thread too.",
        )
    if not 3 <= diameter <= 36 or not 0.25 <= pitch <= diameter / 4:
        raise _unknown(text)
    return Thread(diameter, pitch)


def _inch_thread(found: re.Match[str], threads: Sequence[Row], text: str) -> Thread:
    series, turns = (found["series"] or "").upper(), found["turns"]
    sizes = [row for row in threads if row["series"] in INCH and row["size"].partition("-")[0] == found["size"]]
    if sizes and not series and not turns:
        both = " or ".join(f"{row['size']} ({row['series']})" for row in sizes)
        raise ReadingError(
            f"{text!r}: an inch thread is coarse or fine: {both}", say="Is that inch thread coarse or fine?"
        )
    for row in sizes:
        if series in ("", row["series"]) and turns in (None, row["size"].partition("-")[2]):
            return Thread(float(row["diameter"]), float(row["pitch"]), f"{row['size']} {row['series']}")
    raise _unknown(text)


def _number(text: str, whole: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        pass
    try:
        return float(number_of(text.replace("-", " ").split()))
    except ReadingError as error:
        raise _unknown(whole) from error


def _unknown(text: str) -> ReadingError:
    return ReadingError(
        f"{text!r} is no thread from M3 to M36, and no coarse or fine inch thread to 1 inch: write it as M14x1.5, as "
        "M8 for the coarse pitch, or as 3/8-16",
        say="I do not know that thread. Say it like: M fourteen by one point five.",
    )


def stress_area(thread: str, threads: Sequence[Row]) -> Result:
    """Return the area of a bolt that carries; a thread without its pitch is the coarse one.

    References
    ----------
    ISO 898-1: A = π/4·((d2 + d3)/2)²; inch threads: ASME B1.1, π/4·(d − 0.9743/n)².
    """
    read = read_thread(thread, threads)
    return Result(
        value=amount_of(read.stress_area, "square_millimetre"),
        because="It is the area between the flanks and the root of the thread.",
        inputs=(("thread", str(read)),),
        more=(("pitch", amount_of(read.pitch, "millimetre")),),
        source="ISO 898-1",
    )


THREAD = Input("thread", Form.TEXT, "for instance M14x1.5, M8 (coarse), 3/8-16 or 3/8 UNF")

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
        valid="metric threads of 3 to 36 mm, UNC and UNF from #10 to 1 inch",
        tables=("threads",),
    ),
)
