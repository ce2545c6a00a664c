"""Small invented jobs that show what the oil job does not use; no number in them is of any car."""

from __future__ import annotations

from datetime import UTC, datetime

import yaml

from assistant.adapters.library import Library
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.engine import decide, open_job
from assistant.core.job.state import State, evolve, fold
from assistant.core.quantities.units import Value, amount
from assistant.core.reply.answers import answer
from assistant.core.types import Intent

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)

PADS = """
id: pads
title: Brake pads (invented)
about: Two pads are measured, and judged by what the vehicle's file or its owner tells.
values:
  pad-least: {kind: length, name: least thickness of the pads, find: Look in the service manual., least: 1 mm,
              most: 10 mm, unknown: Then I judge them by eye alone.}
  nuts: {kind: count, name: number of nuts, find: Count them., least: 3 ×, most: 8 ×, needed: true}
computed:
  apart: {work_out: spread, with: {readings: ["left: pad-left", "right: pad-right"]}, report: pads apart,
          bands: [{id: uneven, above: 2 mm, say: "They wear unevenly, by {apart}."}, {id: even}]}
  thinnest: {work_out: spread, with: {readings: ["left: pad-left", "right: pad-right"]}, gives: least}
verdicts: {stop: do not drive}
finish: "The thinnest pad has {thinnest}."
gates:
  - id: wheel
    name: the wheel
    intro: Before it rolls, I need evidence.
    granted: Good.
    falls_on: [interrupted]
    asks:
      - {id: nuts, proves: [nuts], ask: "How many nuts clicked?", denied: Then tighten them., kind: count, equal: nuts,
         too_little: One is loose. Tighten it., too_much: There are not so many. Count again.}
steps:
  - id: left
    title: Left pad
    where: beside
    say: Measure the left pad.
    why: A thin pad brakes badly.
    finding: {place: on the left, what: brake pad}
    reading: &pad
      name: pad-left
      kind: length
      ask: How thick is it?
      least: 0 mm
      most: 15 mm
      bands:
        - {id: stop, below: pad-least, grade: stop, say: That is below its least.}
        - {id: soon, below: 3 mm, grade: soon, say: It is nearly worn.}
        - {id: good, grade: good}
  - id: right
    title: Right pad
    where: beside
    say: Measure the right pad.
    why: A thin pad brakes badly.
    finding: {place: on the right, what: brake pad}
    reading: {<<: *pad, name: pad-right}
  - id: renew
    title: Renew
    when: ["pad-left:stop"]
    where: beside
    say: Renew the pads.
    why: They are worn.
  - id: look
    title: Look
    where: beside
    say: Look at the hose.
    why: A hose that is cracked bursts.
    finding: {place: on the left, what: brake hose}
    choice:
      name: hose
      ask: How is it?
      options:
        - {id: whole, says: [it is whole], show: whole, grade: good}
        - {id: cracked, says: [it is cracked], show: cracked, grade: stop}
  - {id: wheel-on, title: Wheel on, where: beside, say: Put the wheel on., why: It rolls., needs: [wheel]}
  - {id: told, title: Verdict, where: beside, say: "The verdict: {verdict}.", why: So that you know.}
"""

TWO_FLUIDS = """
id: two-fluids
title: Two fluids (invented)
about: Coolant is changed by its capacity, brake fluid only read at its marks.
values:
  coolant-capacity: {kind: volume, name: coolant capacity, find: Look in the manual., least: 1 L, most: 20 L}
  coolant-least: {kind: volume, name: least of coolant, find: Look in the manual., least: 1 L, most: 20 L}
  brake-capacity: {kind: volume, name: brake fluid capacity, find: Look in the manual., least: 0.1 L, most: 2 L}
  brake-span: {kind: volume, name: amount between its marks, find: Look in the manual., least: 0.05 L, most: 1 L}
computed:
  brake-room: {work_out: room-to-full, with: {reading: brake-level, span: brake-span, jug: 0.01 L}}
  brake-first: {work_out: first-fill, with: {capacity: brake-capacity, span: brake-span, jug: 0.01 L}}
fluids:
  coolant: {name: coolant, capacity: coolant-capacity, least: coolant-least, first: coolant-least, needed_by: [running]}
  brake: {name: brake fluid, capacity: brake-capacity, least: brake-first, first: brake-first, span: brake-span,
          room: brake-room, gauge: the reservoir, needed_by: [driving]}
steps:
  - id: read
    title: Reservoir
    where: bay
    say: Look at the reservoir.
    why: Its level falls as pads wear.
    reading: {name: brake-level, kind: level, of: brake, ask: "How does it stand?"}
  - {id: drain, title: Drain, where: bay, say: Open the tap., why: It runs out., drains: coolant}
  - id: fill
    title: Fill
    where: bay
    say: Fill it up.
    why: It cools.
    reading: {name: filled, kind: volume, of: coolant, adds: true, fills: capacity, ask: "How much?"}
  - id: top-up
    title: Top up
    when: ["brake:low"]
    where: bay
    say: Top it up.
    why: It is low.
    reading: {name: topped-up, kind: volume, of: brake, adds: true, fills: mark, ask: "How much?"}
  - {id: run, title: Run, where: seat, say: Start it., why: It warms., acts: [running]}
  - {id: drive, title: Drive, where: seat, say: Drive it., why: It brakes., acts: [driving]}
"""


def job(text: str) -> Procedure:
    """Return a job that is written as a file, with its tables."""
    procedure = Procedure.model_validate(yaml.safe_load(text))
    return Library().with_tables(procedure)


def car(**values: str) -> Vehicle:
    """Return an invented car with these values, by names with underscores."""
    specs = {name.replace("_", "-"): {"value": value, "source": "invented"} for name, value in values.items()}
    return Vehicle.model_validate(
        {"id": "car", "title": "Car (invented)", "about": "Invented.", "units": "metric", "values": specs}
    )


class Doing:
    """A job that is done by meanings, without words."""

    def __init__(self, procedure: Procedure, vehicle: Vehicle) -> None:
        first, *rest = open_job(procedure, vehicle, AT)
        self.state: State = fold([e.Recorded("job", 1, AT, first)])
        self.said = ""
        self.facts: tuple[e.Event, ...] = ()
        self._take((*rest,))

    def _take(self, facts: tuple[e.Event, ...]) -> None:
        before = self.state
        for fact in facts:
            assert e.decode(*e.encode(fact)) == fact  # what the journal keeps is what happened
            self.state = evolve(self.state, fact, AT)
        self.facts, self.said = facts, answer(before, facts, self.state).say

    def mean(self, name: str, option: str | None = None, value: Value | None = None) -> Doing:
        """Let the person mean something."""
        self._take(decide(self.state, Intent(name, option=option, value=value), AT))
        return self

    def read(self, *written: str) -> Doing:
        """Let the person tell amounts, one after the other."""
        for text in written:
            self.mean("value", value=amount(text))
        return self


BATTERY = """
id: battery
title: Battery (invented)
about: A battery is read at rest, and its charge looked up.
computed:
  charge: {work_out: battery-by-voltage, with: {voltage: rest-voltage, kind: sort}, report: state of charge,
           bands: [{id: flat, below: 50 %, grade: soon, say: Charge it first.}, {id: full, grade: good}]}
  again: {work_out: due-date, with: {day: today, interval-time: 6 months}, report: again on}
steps:
  - id: sort
    title: Sort
    where: bay
    say: Read the label.
    why: Each sort has its own table.
    choice:
      name: sort
      ask: Which is it?
      options:
        - {id: flooded, says: [it is flooded], show: flooded}
        - {id: agm, says: [it is a mat], show: AGM}
  - id: rest
    title: Volts
    where: bay
    say: Measure at the posts.
    why: At rest it tells the charge.
    finding: {place: under the bonnet, what: battery, by: charge}
    reading: {name: rest-voltage, kind: voltage, ask: "How much?", least: 6 V, most: 16 V}
  - {id: end, title: End, where: bay, say: "It holds {charge}. Look again on {again}.", why: It fades.}
"""
