"""Does any job through the real command line, by what its replies say that may be said; knows no job, and no vehicle.

`Straight` answers each question with what answers it: the first time as the reply shows it, and where the same question
comes again with the next answer, or another value within its bounds. `Wanderer` says anything that may be said, by
chance that repeats. Both hold what each reply promises against what becomes of it.
"""

from __future__ import annotations

import contextlib
import io
import json
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

from assistant.adapters.library import Library
from assistant.commands import cli
from assistant.core.car_talk.file_text import file_text
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job.question import Waiting

Record = dict[str, Any]
Said = tuple[tuple[str, str], str]
"""A step and a question, and what was answered there."""
SHARES = (0.5, 0.25, 0.75, 0.1, 0.9, 0.0, 1.0, 0.02, 0.05)
"""Where between its bounds a value lies that is told again."""
MOST = 400
"""A job that is done straight on takes fewer turns."""


class Stuck(AssertionError):  # noqa: N818 — the shortest true name
    """There is no way on, or what a reply promised was not so."""


@dataclass
class Walk:
    """One run of the command line that answers itself."""

    choose: Callable[[Record], str]
    """Returns what to say to a reply; nothing ends the talk."""
    replies: list[Record] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    errors: str = ""
    code: int = -1
    fault: BaseException | None = None
    """What the walker itself found; a program that reads lines must not meet it."""

    def go(self, *words: str) -> Walk:
        """Run the command to its end."""
        talk = _Talk(self)
        errors = io.StringIO()
        with (
            mock.patch("sys.stdin", talk),
            contextlib.redirect_stdout(talk),  # type: ignore[type-var]
            contextlib.redirect_stderr(errors),
        ):
            self.code = cli.main([*words, "--typed", "--json", "--no-alarm"])
        self.errors = errors.getvalue()
        if self.fault:
            raise self.fault
        return self


class _Talk(io.StringIO):
    """Both ends of a talk: what is written is a reply, what is read answers the last one."""

    def __init__(self, walk: Walk) -> None:
        super().__init__()
        self._walk = walk
        self._unread = ""

    def write(self, text: str) -> int:
        self._unread += text
        while "\n" in self._unread:
            line, self._unread = self._unread.split("\n", 1)
            self._walk.replies.append(json.loads(line))
        return len(text)

    def readline(self, size: int | None = -1, /) -> str:
        walk = self._walk
        try:
            words = walk.choose(walk.replies[-1])
        except BaseException as fault:
            walk.fault, words = fault, ""
        if words:
            walk.said.append(words)
        return f"{words}\n" if words else ""


def check(reply: Record) -> None:
    """Hold a reply against what every reply promises."""
    waiting = reply["waiting_for"].partition(":")[0]
    if waiting not in {*Waiting}:
        raise Stuck(f"an unknown question: {reply['waiting_for']}")
    if waiting != "finished" and not reply["timers"] and not any(one["answers"] for one in reply["may_say"]):
        raise Stuck(f"no way on at {reply['step']}, {reply['waiting_for']}")


@dataclass
class Straight:
    """Answers each question, the first time in the way of the place `first`, and lets time pass where it runs."""

    first: int = 0
    asked: Counter[tuple[str, str]] = field(default_factory=Counter)
    refused: set[Said] = field(default_factory=set)
    said: Said | None = None
    """What was answered last, and to what."""
    backwards: int = 0
    """So many steps it still goes back: each time that there is no other way on, further than the time before."""

    def __call__(self, reply: Record) -> str:
        check(reply)
        if reply["waiting_for"] == "finished":
            return ""
        if self.said and any(event["kind"] == "Refused" for event in reply["events"]):
            self.refused.add(self.said)
        self.said, place = None, (reply["step"], reply["waiting_for"])
        if self.asked.total() > MOST:
            raise Stuck(f"no end in sight at {place}")
        self.asked[place] += 1
        ways = answering(reply)
        if not ways:
            return _wait(reply)
        if {one["intent"] for one in ways} == {"back"}:
            self.backwards = max(self.backwards, self.asked[place])
        if self.backwards:
            self.backwards -= 1
            return next(one["example"] for one in reply["may_say"] if one["intent"] == "back")
        if reply["waiting_for"].startswith("time") and reply["timers"]:
            return _wait(reply)
        return self._answer(place, _ways(ways, reply))

    def _answer(self, place: tuple[str, str], ways: list[str]) -> str:
        """Return the next way that was not refused there; every other time the first: it has to come to an end."""
        ways = [one for one in ways if (place, one) not in self.refused] or ways
        times = self.asked[place] - 1
        words = ways[0 if times and times % 2 == 0 else (times + self.first) % len(ways)]
        self.said = (place, words)
        return words


def _wait(reply: Record) -> str:
    """Let the first time that runs end."""
    return f"@ +{max(1, min(timer['seconds_left'] for timer in reply['timers']))}s"


def answering(reply: Record) -> list[Record]:
    """What of a reply's list answers its question."""
    return [one for one in reply["may_say"] if one["answers"]]


def _ways(ways: list[Record], reply: Record) -> list[str]:
    """All ways to answer: each as it is shown, then values from all over their bounds."""
    waits = [_wait(reply)] if reply["timers"] else []
    told = [_told(one, share) for share in SHARES for one in ways if one["least"] is not None]
    return [*(one["example"] for one in ways), *waits, *told]


def _told(one: Record, share: float) -> str:
    """A value in figures, at a share of the way from its least to its most."""
    value = one["least"] + share * (one["most"] - one["least"])
    text = (
        f"{round(value) if one['kind'] == 'count' else round(value, 2):g}" if value < 1e5 else f"{round(value, -3):.0f}"
    )
    return f"{text} {one['unit'] or ''}".strip()


@dataclass
class Wanderer:
    """Says anything that may be said, by chance that repeats, and sees that it is understood as what it was."""

    seed: int
    turns: int
    meant: Record | None = None
    """What was said last; None where time passed."""
    counted: Counter[str] = field(default_factory=Counter)
    """How often each intent was said."""

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)

    def __call__(self, reply: Record) -> str:
        check(reply)
        self._understood(reply)
        self.turns -= 1
        if self.turns < 0 or reply["waiting_for"] == "finished":
            return ""
        if reply["timers"] and self._random.random() < 0.3:
            self.meant = None
            return f"@ +{self._random.choice((20, 300, 900))}s"
        ways = reply["may_say"]
        if self._random.random() < 0.6:  # else it never gets far
            ways = answering(reply) or ways
        self.meant = self._random.choice(ways)
        self.counted[self.meant["intent"]] += 1
        return str(self.meant["example"])

    def _understood(self, reply: Record) -> None:
        if self.meant and (reply["intent"] != self.meant["intent"] or reply["verdict"] != "accepted"):
            raise Stuck(f"{self.meant['example']!r} was taken as {reply['intent']}: {reply['say']}")


def vehicles(library: Library) -> Iterator[tuple[str, Vehicle]]:
    """Each vehicle as its file is, without each of its values and notes, and without any."""
    for vehicle in library.vehicles():
        yield vehicle.id, vehicle
        bare = {"values": {}, "notes": {}}
        yield f"{vehicle.id} without anything", vehicle.model_copy(update=bare)
        for name in vehicle.values:
            left = {key: value for key, value in vehicle.values.items() if key != name}
            yield f"{vehicle.id} without {name}", vehicle.model_copy(update={"values": left})
        for name in vehicle.notes:
            noted = {key: value for key, value in vehicle.notes.items() if key != name}
            yield f"{vehicle.id} without {name}", vehicle.model_copy(update={"notes": noted})


def fits(job: Procedure, vehicle: Vehicle) -> bool:
    """Whether a job can be begun on a vehicle: it tells how it is built, and what no job begins without."""
    return (
        not job.unfit(vehicle)
        and all(len(set(group) & set(vehicle.tags)) == 1 for group in job.one_of)
        and any(step.applies(frozenset(vehicle.tags)) for step in job.steps)
        and needed(job) <= set(vehicle.values)
    )


def needed(job: Procedure) -> set[str]:
    """The values without which a job does not begin."""
    return {name for name, wanted in job.values.items() if wanted.needed}


def bare(job: Procedure, vehicle: Vehicle) -> Vehicle:
    """A vehicle whose file leaves out all that a job may do without."""
    kept = {name: spec for name, spec in vehicle.values.items() if name in needed(job)}
    return vehicle.model_copy(update={"values": kept, "notes": {}})


def written(vehicle: Vehicle, folder: Path) -> Path:
    """The file of a vehicle, which has an id of its own: no two may share one."""
    own = vehicle.model_copy(update={"id": f"{vehicle.id}-walked"})
    file = folder / f"{own.id}.yaml"
    file.write_text(file_text(own), encoding="utf-8")
    return file


def walk(choose: Callable[[Record], str], job: str, vehicle: Vehicle, folder: Path) -> Walk:
    """Do a job on a vehicle in a folder."""
    file = written(vehicle, folder)
    return Walk(choose).go("run", job, "--vehicle", str(file), "--data", str(folder / "data"))
