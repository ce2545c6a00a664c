"""Short invented jobs as text, and a way to do one without ears or journal: what is meant goes in, words come out.

Nothing of these jobs is meant to be done: their numbers are invented.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import yaml

from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.alone import moment
from assistant.core.job.engine import decide, open_job
from assistant.core.job.question import question
from assistant.core.job.state import State, evolve, fold
from assistant.core.quantities.units import amount
from assistant.core.reply.answers import answer
from assistant.core.types import Intent

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
CAR = Vehicle.model_validate({"id": "any-car", "title": "Any car", "about": "Invented.", "units": "metric"})

HEAD = """
id: short
title: A short job
about: Invented for tests; nothing of it is meant to be done.
conditions:
  - id: engine-running
    name: The engine is running
    hazard: true
    gated: true
    end: [{do: Switch the engine off., says: ["[the] engine is off"]}]
  - id: on-stands
    name: The car stands on stands
    begin: [{do: Set it down on both stands., says: ["[the] car stands on both stands"]}]
    end: [{do: Lower it to the ground., says: ["[the] car is down"]}]
  - id: brake-on
    name: The parking brake is on
    begin: [{do: Pull the parking brake., says: ["[the] parking brake is on"]}]
gates:
  - id: place
    name: the parking place
    intro: First the place.
    granted: Good.
    falls_on: [lowering, interrupted]
    asks:
      - id: ground
        proves: [firm-ground, level-ground]
        ask: What is it standing on?
        denied: Move it to hard ground.
        options:
          - {id: concrete, says: [on concrete], show: concrete}
          - {id: grass, says: [on soft grass], show: grass, refuse: Move it to hard ground.}
  - id: wheel-arch
    name: reaching into the wheel arch
    intro: Before you reach in, I need evidence.
    granted: You may reach in.
    falls_on: [raising, lowering, "on-stands:over", interrupted]
    asks:
      - id: firm
        proves: [brake, chocks, support, push-test]
        ask: Push the car. What did it do?
        denied: Keep out of the arch.
        undoes: [on-stands]
        sets: [brake-on]
        options:
          - {id: firm, says: [it stood firm], show: it stood firm}
          - {id: moved, says: [it gave way], show: it gave way, refuse: Keep out. Set it down anew.}
exposure:
  - {where: [under, arch], never: [engine-running], holds: [on-stands]}
"""
"""A car with an engine, stands and a brake, and what has to be shown before somebody reaches into its wheel arch."""

RAISE = """
  - id: raise
    title: Raise
    where: beside
    say: Raise it onto stands.
    why: To get at it.
    needs: [place]
    acts: [raising]
    sets: [on-stands]
"""
LOWER = """
  - id: lower
    title: Lower
    where: beside
    say: Lower it.
    why: It is done.
    acts: [lowering]
    ends: [on-stands]
"""


def job(text: str) -> Procedure:
    """Return a job that is written as text."""
    return Procedure.model_validate(yaml.safe_load(text))


class Way:
    """A job on its way."""

    def __init__(self, procedure: Procedure, vehicle: Vehicle = CAR) -> None:
        self.at = AT
        self.rows: list[e.Recorded] = []
        opened = open_job(procedure, vehicle, AT)
        self.state: State = fold([e.Recorded("short", 1, AT, opened[0])])
        self.said = ""
        for event in opened[1:]:
            self.state = evolve(self.state, event, AT)
        self._keep(opened)
        self.said = answer(self.state, opened, self.state).say

    def _keep(self, events: tuple[e.Event, ...]) -> None:
        self.rows += [e.Recorded("short", len(self.rows) + 1 + place, self.at, one) for place, one in enumerate(events)]

    def _take(self, events: tuple[e.Event, ...]) -> None:
        before = self.state
        self._keep(events)
        for event in events:
            self.state = evolve(self.state, event, self.at)
        self.said = answer(before, events, self.state).say

    def do(self, *meant: str) -> str:
        """Mean some things one after the other, and return what is said to the last of them.

        Each is the name of an intent, with its option behind a colon, or a value behind an equals sign.
        """
        for one in meant:
            self.at += timedelta(seconds=2)
            self._take(decide(self.state, _intent(one), self.at))
        return self.said

    def wait(self, minutes: float, check_in: timedelta | None = None) -> str:
        """Let time pass and return what is said of it; empty where nothing is."""
        self.at += timedelta(minutes=minutes)
        self.said = ""
        if events := moment(self.state, self.at, check_in):
            self._take(events)
        return self.said

    def again(self) -> State:
        """Return the state as the journal tells it: each fact written and read once."""
        rows = [e.Recorded(row.job, row.number, row.at, e.decode(*e.encode(row.event))) for row in self.rows]
        return fold(rows)

    @property
    def waiting(self) -> str:
        return str(question(self.state))

    def facts(self, kind: type[e.Event]) -> list[e.Event]:
        return [row.event for row in self.rows if isinstance(row.event, kind)]


def _intent(meant: str) -> Intent:
    name, sign, value = meant.partition("=")
    if sign:
        return Intent(name, value=amount(value))
    name, _, option = meant.partition(":")
    return Intent(name, option=option or None)
