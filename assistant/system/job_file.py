"""Reads a job file and the groups that it uses, unfolded, and finds each place of the flat job in the files again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from assistant.core.data.short_form.places import Flat, Origin, Place, UnfoldError
from assistant.core.data.short_form.using import Source
from assistant.core.data.unfold import unfold
from assistant.core.proof.rules.every import SHORT_FORM
from assistant.system.faulty_file import Refused, Written, finding, written
from assistant.system.yaml_file import parsed


@dataclass
class GroupFiles(Mapping[str, Source]):
    """The groups of some files by name, each read when it is used."""

    paths: Mapping[str, Path]
    trees: dict[str, yaml.Node | None] = field(default_factory=dict)
    """The nodes of each file that was read, by its name."""
    _read: dict[str, Source] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Source:
        if name not in self._read:
            self._read[name] = self.source(self.paths[name])
        return self._read[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.paths)

    def __len__(self) -> int:
        return len(self.paths)

    def __contains__(self, name: object) -> bool:
        return name in self.paths

    def source(self, path: Path) -> Source:
        """Read one file, a group or a job; DataError where it is no YAML."""
        data, self.trees[str(path)] = parsed(path)
        return Source(str(path), data)


@dataclass(frozen=True)
class JobFile:
    """A job as its files hold it: flat, with the way back to them."""

    path: Path
    flat: Flat
    trees: Mapping[str, yaml.Node | None]

    def written(self, place: Place) -> Written:
        """Return where a place of the flat job is written."""
        return _written(self.flat.origin(place), self.trees)


def read_job(path: Path, groups: Mapping[str, Path]) -> JobFile:
    """Return what a job file holds, unfolded with groups by their names; DataError names every fault with its line."""
    files = GroupFiles(groups)
    try:
        return JobFile(path, unfold(files.source(path), files), files.trees)
    except UnfoldError as error:
        found = []
        for fault in error.faults:
            other = f"; the other: {_written(fault.other, files.trees)}" if fault.other else ""
            found.append(finding(_written(fault.at, files.trees), SHORT_FORM, fault.why + other))
        raise Refused(path, found) from error


def _written(origin: Origin, trees: Mapping[str, yaml.Node | None]) -> Written:
    way = "".join(
        f" (in the group {use.group}, used in {written(use.file, trees.get(use.file), use.place)})"
        for use in reversed(origin.way)
    )
    return written(origin.file, trees.get(origin.file), origin.place, way)
