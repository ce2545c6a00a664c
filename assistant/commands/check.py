"""The command `check`: holds files against the rules, lists the rules, prints their schema, or proves a job."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, ClassVar

from assistant import wiring
from assistant.commands import prove
from assistant.core.data.schema import schema
from assistant.core.data.short_form.using import FORMAT
from assistant.core.errors import DataError
from assistant.core.proof.rules.every import FILE, FORM, OF_FILES, OF_JOBS, OF_VEHICLES, found_in, quick
from assistant.core.proof.rules.rule import Beside, Finding, Hearing, Rule, Severity
from assistant.system.ending import FAILED
from assistant.system.faulty_file import Refused, Written, finding, written
from assistant.system.plain_file import UnfitFile
from assistant.system.yaml_file import parsed, remarks

Tell = Callable[[str], None]


def command(options: argparse.Namespace, data: Path, show: Tell, note: Tell) -> int:
    """Run the command, and return its exit code: 1 where a file is at fault or a promise is broken."""
    note = (lambda text: None) if options.quiet else note
    if options.schema:
        show(json.dumps(schema(options.schema), ensure_ascii=False, indent=2))
        return 0
    if options.rules:
        return _list_rules(show, as_json=options.json)
    if options.prove is not None:
        far = (options.loops, options.back, options.most)
        wanted = prove.wishes(data, options.prove or None, options.vehicle, far, note)
        if not wanted:
            raise DataError("no vehicle fits that job. List them with: assistant list vehicles")
        return prove.prove(data, wanted, show, note, as_json=options.json)
    return _check(Checking(data, note), options, show)


def _list_rules(show: Tell, *, as_json: bool) -> int:
    every: tuple[Rule[Any], ...] = (*OF_FILES, *OF_JOBS, *OF_VEHICLES)
    if as_json:
        fields = ("id", "severity", "reason", "mend")
        show(json.dumps([{field: getattr(rule, field) for field in fields} for rule in every], ensure_ascii=False))
    else:
        show("\n".join(f"{rule.id} ({rule.severity}): {rule.reason} {rule.mend}" for rule in every))
    return 0


def _check(checking: Checking, options: argparse.Namespace, show: Tell) -> int:
    files = checking.named(options.files) if options.files else checking.every()
    found = [one for file in files for one in checking.found(file)]
    faults = sum(one.severity is Severity.FAULT for one in found)
    told = [one for one in found if one.severity is Severity.FAULT or not options.quiet]
    if options.json:
        record = {"files": len(files), "faults": faults, "warnings": len(found) - faults,
                  "findings": [asdict(one) for one in told]}  # fmt: skip
        show(json.dumps(record, ensure_ascii=False))
    else:
        if told:
            show("\n".join(map(str, told)))
        if not options.quiet:
            show(f"{len(files)} files: {faults} faults, {len(found) - faults} warnings")
    return FAILED if faults else 0


def _remarks(file: str) -> frozenset[int]:
    return remarks(Path(file))


@dataclass(slots=True)
class Checking:
    """A check of files beside all others that there are."""

    data: Path
    note: Tell
    _hearing: Hearing | None = None
    _beside: Beside | None = None

    def every(self) -> list[Path]:
        """Return the files of all jobs, groups and vehicles, with those of the owner's folder."""
        return [path for paths in wiring.library(self.data).files().values() for path in paths]

    def named(self, names: Iterable[str]) -> list[Path]:
        """Return the files that are named by a path or an id."""
        known = {path.stem: path for path in self.every()}
        return [path if (path := Path(name)).suffix or path.exists() else self._of_id(name, known) for name in names]

    def _of_id(self, name: str, known: dict[str, Path]) -> Path:
        if name not in known:
            raise DataError(f"there is no file and no id {name[:80]!r}. There are: {', '.join(sorted(known))}")
        return known[name]

    def found(self, path: Path) -> list[Finding]:
        """Return what breaks a rule in a file, in the order of its lines."""
        self.note(f"checking {path}")
        try:
            kind = wiring.library(self.data).kind_of(path)
            found = list(self._looks[kind](self, path))
        except Refused as error:
            found = list(error.findings)
        except UnfitFile as error:
            found = [finding(Written(str(path), error.line, 1, "the whole"), FILE, error.why)]
        return sorted(found)

    def _of_group(self, path: Path) -> Iterator[Finding]:
        """Yield what is wrong with a group by itself; its steps are checked in each job that uses it."""
        content, tree = parsed(path)
        if not isinstance(content, dict):
            yield finding(written(path, tree, ()), FORM, "a group is a mapping, with `format` and `group`")
            return
        if content.get("format") != FORMAT:
            yield finding(written(path, tree, ("format",)), FORM, f"it has to be {FORMAT}")
        if content.get("group") != path.stem:
            yield finding(written(path, tree, ("group",)), FORM, f"it has to be the name of the file, {path.stem}")

    def _of_job(self, path: Path) -> Iterator[Finding]:
        shelf = wiring.library(self.data)
        job, at = shelf.read_job(path)
        mine = replace(self.beside(), line_of=lambda place: (at(place).file, at(place).line), remarks=_remarks)
        faults = [finding(at(place), rule, what) for rule, place, what in found_in(job, mine, quick(OF_JOBS))]
        yield from faults
        others = [rule for rule in OF_JOBS if rule not in quick(OF_JOBS)]
        if faults:  # what may be said can't be worked out of names that nobody knows
            others = [rule for rule in others if not rule.slow]
        slow = {rule.id for rule in others if rule.slow}
        tell = lambda name: self.note(f"  {name}") if name in slow else None  # noqa: E731
        yield from (finding(at(place), rule, what) for rule, place, what in found_in(job, mine, others, tell))

    def _of_vehicle(self, path: Path) -> Iterator[Finding]:
        shelf = wiring.library(self.data)
        car, at = shelf.read_vehicle(path)
        mine = replace(self.beside(), twins=shelf.twins(path, car))
        yield from (finding(at(place), rule, what) for rule, place, what in found_in(car, mine, OF_VEHICLES))

    _looks: ClassVar[dict[str, Callable[[Checking, Path], Iterator[Finding]]]] = {
        "jobs": _of_job, "groups": _of_group, "vehicles": _of_vehicle,
    }  # fmt: skip

    def beside(self) -> Beside:
        """Return all that a file is checked beside; files that are wrong are told where they are checked themselves."""
        if not self._beside:
            shelf = wiring.library(self.data)
            self._beside = Beside(
                grammar=shelf.rules(),
                jobs=shelf.jobs(lambda error: None),
                vehicles=shelf.vehicles(lambda error: None),
                tables=shelf.tables(),
                hearing=wiring.hearing(self.data),
            )
        return self._beside
