"""A short invented job and two invented cars without any values, for tests of what lies around a job."""

from __future__ import annotations

from pathlib import Path

JOB = """
format: 2
id: short
title: A look at the car
about: Invented for tests; nothing of it is meant to be done.
values:
  plug-torque: {kind: torque, name: drain plug torque, find: Look in the manual., least: 5 N·m, most: 100 N·m}
  capacity: {kind: volume, name: oil capacity, find: Look in the manual., least: 0.5 L, most: 15 L}
parts:
  - {id: plug, name: the drain plug, torque: plug-torque}
steps:
  - {id: tools, title: Tools, where: bench, say: Put the wrench ready., why: It is needed.}
  - {id: look, title: Look, where: beside, say: Look at it., why: To see.}
  - {id: open, title: Open, where: bay, say: Open it., why: To see., opens: [plug]}
  - id: tighten
    title: Tighten
    where: bay
    say: "Tighten it to {plug-torque}."
    why: To hold.
    closes: [plug]
    tighten: {part: plug}
  - {id: last, title: Last, where: bench, say: Wash your hands., why: They are dirty.}
"""

GATED = """
conditions: [{id: engine-running, name: The engine is running, hazard: true}]
exposure:
  - {where: [under], never: [engine-running]}
  - {parts: true, never: [engine-running]}
gates:
  - id: under-car
    name: going under the car
    intro: First I need evidence.
    granted: Good.
    falls_on: [interrupted]
    asks:
      - id: all
        proves: [firm-ground, level-ground, brake, chocks, support, push-test]
        ask: Is all of it proven?
        denied: Then keep out from under it.
        options: [{id: proven, says: [everything is proven], show: proven}]
"""
"""What lets somebody go under the car of the short job, in one answer: invented too."""
UNDER = JOB.replace("where: beside, say: Look at it.", "where: under, needs: [under-car], say: Look up.") + GATED

CAR = """
id: {name}
title: Invented {name}
about: Invented for tests.
units: {units}
"""

CARS = {"red-car": "metric", "blue-car": "us"}


def write_short_job(data: Path, job: str = JOB) -> None:
    """Write the job and the cars into a data folder, where the program finds them."""
    files = {"jobs/short": job, **{f"vehicles/{name}": CAR.format(name=name, units=units)
                                   for name, units in CARS.items()}}  # fmt: skip
    for name, text in files.items():
        file = data / "procedures" / f"{name}.yaml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
