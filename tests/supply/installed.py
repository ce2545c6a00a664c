"""Which distributions the project brings, here and now: what `pyproject.toml` names, and all that those need."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.metadata import Distribution, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, slots=True)
class Brought:
    """A distribution, and whether it is there only for the tests."""

    distribution: Distribution
    only_tests: bool

    @property
    def name(self) -> str:
        """The name in its canonical form (PyPA, "Names and normalization")."""
        return canonicalize_name(self.distribution.name)


def named() -> list[str]:
    """Return the names of what the project itself asks for."""
    return [canonicalize_name(Requirement(text).name) for texts in _wanted() for text in texts]


def _wanted() -> tuple[list[str], list[str]]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return project["dependencies"], project["optional-dependencies"]["test"]


def brought() -> dict[str, Brought]:
    """Return every distribution needed to run or to test, by name; ImportError for one that is not installed."""
    for_running, for_testing = _wanted()
    running, testing = _all_of(for_running), _all_of(for_testing)
    return {name: Brought(found, name not in running) for name, found in sorted((testing | running).items())}


def _all_of(wanted: list[str]) -> dict[str, Distribution]:
    found: dict[str, Distribution] = {}
    done: set[tuple[str, str]] = set()
    waiting = [(Requirement(text), "") for text in wanted]
    while waiting:
        requirement, asker_extra = waiting.pop()
        if requirement.marker and not requirement.marker.evaluate({"extra": asker_extra}):
            continue
        name = canonicalize_name(requirement.name)
        for extra in ("", *sorted(requirement.extras)):
            if (name, extra) not in done:
                done.add((name, extra))
                found[name] = distribution(name)
                waiting += [(Requirement(text), extra) for text in found[name].requires or ()]
    return found
