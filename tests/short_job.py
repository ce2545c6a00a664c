"""A short invented job and two invented cars without any values, for tests of what lies around a job."""

from __future__ import annotations

from pathlib import Path

JOB = """
format: 2
id: short
title: A look under the car
about: Invented for tests; nothing of it is meant to be done.
values:
  plug-torque: {kind: torque, name: drain plug torque, find: Look in the manual., least: 5 N·m, most: 100 N·m}
  capacity: {kind: volume, name: oil capacity, find: Look in the manual., least: 0.5 L, most: 15 L}
parts:
  - {id: plug, name: the drain plug, torque: plug-torque}
steps:
  - {id: tools, title: Tools, where: bench, say: Put the wrench ready., why: It is needed.}
  - {id: look, title: Look, where: under, say: Look up., why: To see.}
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

CAR = """
id: {name}
title: Invented {name}
about: Invented for tests.
units: {units}
"""

CARS = {"red-car": "metric", "blue-car": "us"}


def write_short_job(data: Path) -> None:
    """Write the job and the cars into a data folder, where the program finds them."""
    files = {"jobs/short": JOB, **{f"vehicles/{name}": CAR.format(name=name, units=units)
                                   for name, units in CARS.items()}}  # fmt: skip
    for name, text in files.items():
        file = data / "procedures" / f"{name}.yaml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
