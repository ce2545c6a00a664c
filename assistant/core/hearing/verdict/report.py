"""What was heard in a sound file, as plain data and as lines. Only shapes; nothing is decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from statistics import median
from typing import Any

from assistant.core.errors import ReadingError
from assistant.core.grammar.slots import slots_of
from assistant.core.hearing.verdict.found import Found, Match
from assistant.core.quantities.numbers import value_of
from assistant.core.quantities.units import Level
from assistant.core.types import RATE, Verdict


@dataclass(frozen=True, slots=True)
class Heard:
    """What came of one utterance of a file, or of a file without one."""

    file: str
    start: int
    """Where the utterance begins in the file [sample]."""
    seconds: float
    """Length of the utterance, or of the whole file where there is none [second]."""
    match: Match
    computed: float = 0.0
    """Time that it took to hear it [second]."""
    latency: float | None = None
    """Time from the end of the speech to the verdict: the silence that was waited for, and what was computed
    [second]; None where nobody spoke."""
    note: str | None = None
    noise_start: int | None = None
    """Where in a noise the stretch begins that was laid under the file [sample]; None where none was."""
    snr_db: float | None = None
    """How far the speech lies above that stretch [decibel]; None likewise."""


def record(heard: Heard, system: str, depth: int | None) -> dict[str, Any]:
    """Return what was heard as one JSON-ready object.

    `system` is the owner's system of units, empty for a grammar that is no job's: there a rule called `level`
    is no dipstick. `depth` is how many rules inside each other are told as slots.
    """
    match = heard.match
    taken = match.best if match.verdict is Verdict.ACCEPTED else None
    return {
        "file": heard.file,
        "start_s": round(heard.start / RATE, 3),
        "seconds": round(heard.seconds, 3),
        "verdict": str(match.verdict),
        "intent": taken.phrase.intent if taken else None,
        "text": taken.words if taken else None,
        "slots": _slots(taken, depth) if taken else {},
        "value": _value(taken, system) if taken else None,
        "best": _words(match.best),
        "score": _rounded(match.best.score) if match.best else None,
        "runner_up": _words(match.runner_up),
        "margin": _rounded(match.margin),
        "heard": {hypothesis.engine: hypothesis.text for hypothesis in reversed(match.heard)},
        "compute_s": round(heard.computed, 3),
        "latency_s": round(heard.latency, 3) if heard.latency is not None else None,
        "noise_start_s": round(heard.noise_start / RATE, 3) if heard.noise_start is not None else None,
        "snr_db": heard.snr_db,
        "note": heard.note,
    }


def _words(found: Found | None) -> str | None:
    return found.words or None if found else None


def _rounded(number: float) -> float | None:
    return round(number, 3) if isfinite(number) and abs(number) < 1e4 else None


def _slots(found: Found, depth: int | None) -> dict[str, str | list[str]]:
    """Return the words of each slot by its name; several of one name are a list."""
    told: dict[str, list[str]] = {}
    for name, words in slots_of(found.steps, depth):
        told.setdefault(name, []).append(words)
    return {name: words[0] if len(words) == 1 else words for name, words in told.items()}


def _value(found: Found, system: str) -> dict[str, Any] | None:
    """Return the first slot that names an amount or a dipstick level, exactly; None where none does."""
    for slot, words in found.slots:
        try:
            value = value_of(slot if system else "", words, system)
        except ReadingError:
            continue
        if isinstance(value, Level):
            return {"slot": slot, "said": value.said, "lowest": float(value.lowest), "highest": float(value.highest)}
        return {"slot": slot, "magnitude": float(value.magnitude), "unit": value.unit}
    return None


def line(heard: Heard) -> str:
    """Return what was heard as one line."""
    match = heard.match
    place = heard.file if heard.latency is None else f"{heard.file}, {heard.start / RATE:.1f} s"
    verdict = match.verdict.replace("_", " ")
    told = f"{place}: {verdict}{_said(match)}"
    if heard.noise_start is not None:
        told += f"; {heard.snr_db:g} dB above noise from {heard.noise_start / RATE:.1f} s on"
    return f"{told} ({heard.note})" if heard.note else told


def _said(match: Match) -> str:
    if match.verdict is Verdict.NOT_FOR_ME or not match.best:
        return f", heard {match.heard[0].text!r}" if match.heard else ""
    score = f", score {match.best.score:.2f}"
    if match.verdict is Verdict.UNCLEAR:
        other = f" or {match.runner_up.words!r}" if match.runner_up else ""
        return f": {match.best.words!r}{other}{score}"
    slots = "".join(f"; {name}: {words}" for name, words in match.best.slots)
    return f": {match.best.words!r}{score}{slots}"


def summary(heard: Sequence[Heard], files: int, took: float) -> list[str]:
    """Return what all files came to, in lines; `took` is the time spent on them [second]."""
    counts = [
        f"{sum(one.match.verdict is verdict for one in heard)} {verdict.replace('_', ' ')}" for verdict in Verdict
    ]
    lines = [f"files: {files}; {', '.join(counts)}"]
    if late := sorted(one.latency for one in heard if one.latency is not None):
        slow = late[int(0.95 * (len(late) - 1))]
        lines.append(f"from the end of speech to the verdict: median {median(late):.2f} s, 95 % within {slow:.2f} s")
    spoken = sum(one.seconds for one in heard)
    return [*lines, f"sound listened to: {spoken:.1f} s; worked out in {took:.1f} s"]
