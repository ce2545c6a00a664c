"""Prints what becomes of answers that people give to every question of the oil job, beside what should become of them.

    python -m tests.benchmarks.answers [--at QUESTION] [--all] [--json]

The answers, and the ways to the questions, are in `answers.yaml`. Each is typed, through the real reader and engine,
from the state in which its question waits, and changes nothing for the next one.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.adapters.clock import MovableClock
from assistant.adapters.lexicon_cmudict import is_listed, pronounce
from assistant.adapters.library import Library, match_settings, read_yaml
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.job import events as e
from assistant.core.job.engine import open_job
from assistant.core.job.filling import draws_off
from assistant.core.job.question import OF_STEP, question
from assistant.core.job.state import State, evolve, opening
from assistant.core.quantities.units import Amount, Level, write_amount
from assistant.core.types import Hypothesis
from assistant.path.desk import Desk, Turn
from assistant.path.ears import Ears
from assistant.path.hearing import heard
from assistant.path.turn import time_passes

ANSWERS = read_yaml(Path(__file__).parent / "answers.yaml")
BEGIN = datetime(2026, 3, 14, 9, tzinfo=UTC)
PAUSE = 2.0
"""What passes before each answer [second]."""
TICK = 5
"""Time passes in steps of so many seconds."""
NEXT = "next step"
LEADING = {">": NEXT, "<": "go back one step"}
"""What is said until the question waits that is named behind a sign."""
MOST_STEPS = 20
"""So often it is said at most."""
OWN = ("done", "next", "claim", "confirm", "condition")
"""Meanings that answer what is asked, and need no name."""


class Pages:
    """What a desk needs of a journal, in memory, so that an answer leaves nothing behind."""

    where = "memory"
    behind = False

    def __init__(self) -> None:
        self.warnings: list[str] = []
        self._rows: list[e.Recorded] = []

    def append(self, job: str, events: Sequence[e.Event], at: datetime) -> tuple[e.Recorded, ...]:
        """Keep events."""
        rows = tuple(e.Recorded(job, len(self._rows) + place, at, event) for place, event in enumerate(events, 1))
        self._rows += rows
        return rows

    def read(self, job: str, *kinds: type[e.Event]) -> tuple[e.Recorded, ...]:
        """Return what was kept."""
        return tuple(row for row in self._rows if not kinds or isinstance(row.event, kinds))

    def jobs(self) -> tuple[str, ...]:
        """Return the one job."""
        return ("answers",)

    def close(self) -> None:
        """Do nothing."""


@dataclass(frozen=True, slots=True)
class Place:
    """A state in which a question waits."""

    state: State
    at: datetime


@dataclass(frozen=True, slots=True)
class Case:
    """An answer, and what became of it."""

    question: str
    answer: str
    expected: str
    """What should become of it; several, with "or" between them, where each is right."""
    came: str
    said: str

    @property
    def right(self) -> bool:
        """Whether what should become of it did."""
        return self.came in self.expected.split(" or ")


class Room:
    """Takes people to questions, and hears their answers there."""

    def __init__(self, library: Library, phrasebook: Phrasebook) -> None:
        self._library, self._ears, self._sums = library, Ears(phrasebook), library.sums()
        self._phrases = (*library.phrases(), *self._sums.catalogue.phrases())
        self.job = library.job("oil-and-filter")

    def desk(self, place: Place) -> Desk:
        """Return a desk at which a question waits."""
        clock = MovableClock(place.at)
        return Desk(
            "answers",
            place.state,
            Pages(),
            clock,
            self._ears,
            self._phrases,
            self._sums,
            check_in_after=wiring.CHECK_IN_AFTER,
        )

    def answer(self, place: Place, text: str) -> Turn:
        """Return what follows from an answer; the place stays as it is."""
        desk = self.desk(place)
        desk.clock.move(PAUSE)
        return heard(desk, Hypothesis(text, 0.0, "typed"))

    def places(self) -> dict[str, Place]:
        """Return each question that the ways come by, where it waits first."""
        found: dict[str, Place] = {}
        ends: dict[str, Place] = {}
        for name, way in ANSWERS["ways"].items():
            for place in self._along(way, ends):
                found.setdefault(name_of(place.state), place)
                ends[name] = place
        for made in ANSWERS["made"]:
            here = found[made["at"]]
            ledger = found[made["open as at"]].state.ledger if "open as at" in made else here.state.ledger
            conditions = here.state.conditions - {made.get("without")} | {*made.get("with", "").split()}
            place = replace(here, state=replace(here.state, conditions=conditions, ledger=ledger, begun=False))
            found.setdefault(name_of(place.state), place)
        return found

    def _along(self, way: Mapping[str, Any], ends: Mapping[str, Place]) -> Iterator[Place]:
        """Yield where a way leads, after each thing that is said."""
        desk = self.desk(ends[way["after"]] if "after" in way else self._first(way["car"], way.get("without", ())))
        yield Place(desk.state, desk.clock.now())
        for text in (part.strip() for part in re.split(r"\s/\s", way["says"])):
            if text[0] in LEADING:
                yield from self._to(desk, text[1:].strip(), LEADING[text[0]])
            elif text.startswith("@"):
                yield self._passed(desk, int(text[1:]))
            else:
                yield self._said(desk, text)

    def _to(self, desk: Desk, name: str, says: str) -> Iterator[Place]:
        """Say the same until a question waits, and let times pass; yield each place on the way."""
        for _ in range(MOST_STEPS):
            if name_of(desk.state) == name:
                return
            if desk.state.timers and says == NEXT:
                self._passed(desk, int((max(one.due for one in desk.state.timers) - desk.clock.now()).total_seconds()))
            yield self._said(desk, says)
        raise ValueError(f"{says!r} does not lead to {name}, but to {name_of(desk.state)}")

    def _passed(self, desk: Desk, seconds: int) -> Place:
        for _ in range(0, seconds, TICK):
            desk.clock.move(TICK)
            time_passes(desk)
        return Place(desk.state, desk.clock.now())

    def _said(self, desk: Desk, text: str) -> Place:
        desk.clock.move(PAUSE)
        turn = heard(desk, Hypothesis(text, 0.0, "typed"))
        if any(isinstance(row.event, e.NotUnderstood | e.LeftAlone) for row in turn.recorded):
            raise ValueError(f"{text!r} leads nowhere at {name_of(desk.state)}: {turn.reply.say}")
        return Place(desk.state, desk.clock.now())

    def _first(self, car: str, without: Sequence[str]) -> Place:
        """Return a job that just began, with a car of which some values are not known."""
        vehicle = self._library.vehicle(car)
        values = {name: spec for name, spec in vehicle.values.items() if name not in without}
        return self._begun(vehicle.model_copy(update={"values": values}))

    def _begun(self, vehicle: Vehicle) -> Place:
        started, *rest = open_job(self.job, vehicle, BEGIN)
        assert isinstance(started, e.JobOpened)
        state = opening(started, BEGIN)
        for event in rest:
            state = evolve(state, event, BEGIN)
        return Place(state, BEGIN)


def name_of(state: State) -> str:
    """Return the name of what waits: that of the step where it asks itself."""
    asked = question(state)
    if state.check_in and not state.calling:
        return "are you all right"
    if asked.waiting in OF_STEP:
        return f"{state.step}, draw off" if draws_off(state, state.here) else state.step
    if asked.unmet:
        return f"{asked} {'holds' if asked.unmet.wanted else 'over'}"
    return str(asked)


def questions_of(job: Procedure) -> set[str]:
    """Return the names of all that a job can ask, as `name_of` gives them."""
    found = {step.id for step in job.steps} | {"are you all right", "parked", "paused", "finished"}
    found |= {f"{step.id}, draw off" for step in job.steps if step.reading and step.reading.fills}
    found |= {f"evidence:{gate.id}/{ask.id}" for gate in job.gates for ask in gate.asks}
    found |= {f"confirm:{gate.name}" for gate in job.gates}
    found |= {f"value:{name}" for name in job.values}
    found |= {f"confirm:{step.claim.name}" for step in job.steps if step.claim}
    found |= {f"confirm:{job.part(step.tighten.part).name}" for step in job.steps if step.tighten}
    ends = {name for one in (*job.steps, *job.exposure) for name in one.never}
    holds = {name for one in (*job.steps, *job.exposure) for name in one.holds}
    found |= {f"condition:{name} over" for name in ends}
    found |= {f"condition:{one.id} holds" for one in job.conditions if one.id in holds and not one.gated and one.begin}
    return found


def what_came(turn: Turn) -> str:
    """Return what became of an answer, in a word or two."""
    came = (_of_event(row.event) for row in turn.recorded)
    return next((one for one in came if one), None) or f"taken {_taken(turn)}".strip()


def _of_event(event: e.Event) -> str:
    """Return what an event says of an answer that was not just taken; empty for all others."""
    match event:
        case e.Refused(code):
            return f"refused {code}"
        case e.NotUnderstood(_, first):
            return "asked" if first else "options"
        case e.Asked(topic):
            return f"topic {topic}"
        case _:
            return _WITHOUT_MORE.get(type(event), "")


_WITHOUT_MORE = {e.Denied: "denied", e.LeftAlone: "left alone", e.HelpCalled: "alarm", e.CameOut: "out"}


def _taken(turn: Turn) -> str:
    intent = turn.understanding.intent if turn.understanding else None
    if intent is None or intent.name in OWN:
        return ""
    if isinstance(intent.value, Level):
        return intent.value.said
    if isinstance(intent.value, Amount):
        number = f"{intent.value.magnitude:f}"
        plain = number.rstrip("0").rstrip(".") if "." in number else number
        return write_amount(replace(intent.value, magnitude=Decimal(plain))).removesuffix(" ×")
    return intent.option if intent.name == "option" and intent.option else intent.name


def expected_of(name: str) -> Iterator[tuple[str, str]]:
    """Yield each answer to a question with what should become of it: its own ones, and those of its group."""
    own = ANSWERS["answers"][name]
    for outcome, texts in own.items():
        if outcome == "like":
            for group in texts:
                for shared, more in ANSWERS["groups"][group].items():
                    yield from ((text, shared) for text in more)
        else:
            yield from ((text, outcome) for text in texts)


def tried(room: Room, places: Mapping[str, Place], names: Sequence[str]) -> Iterator[Case]:
    """Yield every answer to some questions, with what became of it."""
    for name in names:
        for text, expected in expected_of(name):
            turn = room.answer(places[name], text)
            yield Case(name, text, expected, what_came(turn), turn.reply.say)


def room_of(library: Library) -> Room:
    """Return a room with the ears of the program, for what is typed."""
    book = Phrasebook(library.rules(), pronounce, match_settings(), library.turning_words(), is_listed)
    return Room(library, book)


def _print(cases: Sequence[Case], *, everything: bool) -> None:
    for case in (case for case in cases if everything or not case.right):
        mark = " " if case.right else "!"
        print(f"{mark} {case.question:34} {case.answer!r:48} {case.expected:24} {case.came:24} {case.said}")
    came = Counter(case.came.split()[0] for case in cases)
    differ = Counter(f"{case.expected.split()[0]}, came {case.came.split()[0]}" for case in cases if not case.right)
    print(f"{len(cases)} answers to {len({case.question for case in cases})} questions: ", end="")
    print(", ".join(f"{count} {name}" for name, count in came.most_common()))
    print(f"{sum(differ.values())} differ: " + ", ".join(f"{count} {name}" for name, count in differ.most_common()))


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--at", help="only the questions whose name holds this")
    parser.add_argument("--all", action="store_true", help="also what came as expected")
    parser.add_argument("--json", action="store_true", help="every answer as a line of JSON")
    given = parser.parse_args(arguments)
    room = room_of(Library())
    places = room.places()
    lacking = sorted(questions_of(room.job) - {*ANSWERS["answers"]})
    names = [name for name in ANSWERS["answers"] if not given.at or given.at in name]
    cases = list(tried(room, places, names))
    if given.json:
        for case in cases:
            print(json.dumps({**asdict(case), "right": case.right}))
        return
    _print(cases, everything=given.all)
    if lacking:
        print(f"without answers: {', '.join(lacking)}")


if __name__ == "__main__":
    main(sys.argv[1:])
