"""What others have printed, as checks on the computations: a file for each subject in `core/compute/published/`.

A check names a computation, what is given, what it must give, how far it may be off, and where that is printed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from assistant.core.compute.base.result import Answer, Result
from assistant.core.compute.work_out import work_out
from assistant.core.quantities.units import Amount, Kind, amount, convert
from assistant.wiring import library

TABLES = library(Path()).tables()

DIFFERENCES = {"degree_Celsius": "kelvin", "degree_Fahrenheit": "Fahrenheit_degree"}
"""A temperature may be off by a difference of temperatures."""

FOLDER = Path(__file__).parent / "core" / "compute" / "published"


class Mark(StrEnum):
    """What a check can prove."""

    PUBLISHED = "published"
    """Source and number both stand there, and the program does not have its table from the same page."""
    LIBRARY = "library"
    """A general library by other hands gave it."""
    COPIED = "copied"
    """It stands on the page that the program's own table was copied from: it proves the copy, and no more."""
    DERIVED = "derived"
    """Worked out by hand from a published rule, as `working` says; the number itself is printed nowhere."""
    MEMORY = "from memory"
    """Nobody looked it up. It never stands alone."""


OUTSIDE = (Mark.PUBLISHED, Mark.LIBRARY)
"""The kinds that the code can't have been written after."""


@dataclass(frozen=True, slots=True)
class Check:
    """One printed example."""

    subject: str
    of: str
    given: dict[str, str]
    gives: dict[str, str]
    within: str
    source: str
    mark: Mark
    place: str = ""
    """Where in the source it stands: a table, a row, a page. Every published or copied one has it."""
    working: str = ""
    """How it was worked out. Every derived one has it."""

    def __str__(self) -> str:
        return f"{self.of}: {', '.join(f'{name}={value}' for name, value in self.given.items())}"

    def answer(self) -> Answer:
        """Return what the program gives."""
        return work_out(self.of, self.given, TABLES)

    def deviations(self) -> Iterator[tuple[str, Amount | str, str, float]]:
        """Yield for each value: its name, what came out, what is printed, and the deviation as a share of what may be.

        Words are right (0) where they are the printed ones, or where they begin with those and an ellipsis.
        """
        answer = self.answer()
        found: dict[str, Amount | str] = {**dict(answer.more), "value": answer.value}
        if isinstance(answer, Result) and answer.uncertainty is not None:
            found["uncertainty"] = answer.uncertainty
        for name, printed in self.gives.items():
            value = found[name]
            if isinstance(value, Amount):
                yield name, value, printed, self._off(value, amount(printed, value.kind))
            else:
                same = value.startswith(printed[:-1]) if printed.endswith("…") else value == printed
                yield name, value, printed, 0.0 if same else float("inf")

    def errors(self) -> Iterator[tuple[float, str]]:
        """Yield how far each number is from the printed one: in percent of it, or in kelvin for a temperature."""
        for _, value, printed, _ in self.deviations():
            if isinstance(value, Amount):
                right = amount(printed, value.kind)
                off = abs(float(convert(value, right.unit).magnitude - right.magnitude))
                if right.kind is Kind.TEMPERATURE:
                    yield off * (5 / 9 if right.unit == "degree_Fahrenheit" else 1), "K"
                elif right.magnitude:
                    yield 100 * off / abs(float(right.magnitude)), "%"

    def _off(self, value: Amount, printed: Amount) -> float:
        right = float(printed.magnitude)
        allowed = amount(self.within, Kind.COUNT if printed.kind is Kind.COUNT and "%" not in self.within else None)
        if allowed.unit == "percent" and printed.unit != "percent":
            bound = abs(right) * float(allowed.magnitude) / 100
        else:
            scale = DIFFERENCES.get(printed.unit)
            bound = float(convert(allowed, scale or printed.unit).magnitude)
        return abs(float(convert(value, printed.unit).magnitude) - right) / bound


@cache
def checks() -> tuple[Check, ...]:
    """Return all printed examples."""
    return tuple(
        Check(path.stem, **{**row, "given": _texts(row["given"]), "gives": _texts(row["gives"]),
                            "within": str(row.get("within", "")), "mark": Mark(row["mark"])})
        for path in sorted(FOLDER.glob("*.yaml"))
        for row in yaml.safe_load(path.read_text(encoding="utf-8"))
    )  # fmt: skip


def _texts(values: dict[str, Any]) -> dict[str, str]:
    return {name: str(value) for name, value in values.items()}
