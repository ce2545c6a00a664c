"""Reads procedures, vehicles, phrases and settings from files. A fault names the file, the line and the field."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from difflib import get_close_matches
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from assistant.core.compute.work_out import CALCULATIONS
from assistant.core.data.base import RESERVED
from assistant.core.data.catalogue import Catalogue, Sums
from assistant.core.data.manifest import Manifest
from assistant.core.data.procedure import NAMES_LATER, Procedure
from assistant.core.data.settings import Settings
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError, DeviceError
from assistant.core.grammar.jsgf import Rules, parse_jsgf
from assistant.core.hearing.answer_phrases import AFFIRMS
from assistant.core.hearing.contraries.around import Around
from assistant.core.hearing.contraries.turning_words import TurningWords
from assistant.core.hearing.verdict.judging import JudgeSettings
from assistant.core.hearing.verdict.matching import MatchSettings
from assistant.core.hearing.verdict.odds import Weights
from assistant.core.proof.rules.every import OF_JOBS, OF_VEHICLES, found_in, quick
from assistant.core.proof.rules.rule import Beside, Hearing, Rule
from assistant.core.types import Phrase
from assistant.system.disk_fault import disk_fault
from assistant.system.faulty_file import At, Refused, finding, malformed, written
from assistant.system.job_file import read_job
from assistant.system.plain_file import LONGEST_NAME, read_text, real, short
from assistant.system.whole_file import write_whole
from assistant.system.yaml_file import parsed

Item = TypeVar("Item")
Model = TypeVar("Model", bound=BaseModel)


def data_folder(name: str) -> Path:
    """Return the folder `procedures` or `models`: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    return next(folder for folder in (package / name, package.parent / name) if folder.is_dir())


class Library:
    """The data that travels with the program, and optionally a folder of the owner's with more of the same."""

    def __init__(self, *folders: Path) -> None:
        """Take folders laid out like `procedures/`; later ones go before earlier ones."""
        self._folders = folders or (data_folder("procedures"),)

    def jobs(self, left_out: Callable[[DataError], None] | None = None) -> tuple[Procedure, ...]:
        """Return all procedures, in the order of their files; DataError for a file that is wrong, unless it may be left
        out, which is told."""
        return tuple(_each(self._files("jobs"), self._job, left_out))

    def vehicles(self, left_out: Callable[[DataError], None] | None = None) -> tuple[Vehicle, ...]:
        """Return all vehicles, as `jobs` does."""
        return tuple(_each(self._files("vehicles"), self._vehicle, left_out))

    def vehicle_files(self) -> tuple[Path, ...]:
        """Return the files of all vehicles, also of those that are wrong."""
        return tuple(self._files("vehicles"))

    def vehicle_file(self, name: str) -> Path:
        """Return the file of one vehicle, by id or by its path; DataError names the nearest and all."""
        return self._find("vehicles", "vehicle", name)

    def job(self, name: str) -> Procedure:
        """Return one procedure, by id or by the path of a file; DataError names the nearest and all."""
        return self._job(self._find("jobs", "job", name))

    def vehicle(self, name: str, job: Procedure | None = None) -> Vehicle:
        """Return one vehicle, by id or by the path of a file; DataError names the nearest and all.

        With a job, its values are held against what that wants, so that a wrong one is told with its line.
        """
        return self._vehicle(self._find("vehicles", "vehicle", name), job)

    def phrases(self) -> tuple[Phrase, ...]:
        """Return the phrases that are allowed in every job."""
        path = self._folders[0] / "phrases" / "en.yaml"
        return tuple(
            Phrase(intent, text, affirms=intent in AFFIRMS)
            for intent, texts in read_yaml(path).items()
            for text in texts
        )

    def beside(self) -> Catalogue:
        """Return what may be worked out beside a job; DataError where the file is wrong."""
        return load(self._folders[0] / "phrases" / "beside.yaml", Catalogue)

    def sums(self) -> Sums:
        """Return what is needed to work something out beside a job."""
        return Sums(self.beside(), self.tables())

    def turning_words(self) -> TurningWords:
        """Return the words that turn what is said into its contrary; DataError where the file is wrong."""
        path = self._folders[0] / "phrases" / "contraries.yaml"
        try:
            data = read_yaml(path)
            return TurningWords(**{**data, "around": Around(**data["around"])})
        except (TypeError, KeyError) as error:
            raise DataError(f"{path}: {error}", say=f"The file {path.name} is wrong. See the screen.") from error

    def rules(self) -> Rules:
        """Return the grammar of numbers, units and readings."""
        path = self._folders[0] / "phrases" / "numbers.jsgf"
        return parse_jsgf(path.read_text(encoding="utf-8"), path.name)

    def tables(self) -> dict[str, list[dict[str, str]]]:
        """Return the rows of every table by its name; in the owner's folder a table of the same name goes before."""
        return {path.stem: read_table(path) for path in self._files("tables", "csv")}

    def _job(self, path: Path) -> Procedure:
        job, at = self.read_job(path)
        return _kept(path, job, Beside(self.rules()), at, quick(OF_JOBS))

    def read_job(self, path: Path) -> tuple[Procedure, At]:
        """Return the job of a file, whose form alone was looked at, and where each place of it is written."""
        file = read_job(path, {group.stem: group for group in self._files("groups")})
        try:
            job = Procedure.model_validate(file.flat.data, context=NAMES_LATER)
        except ValidationError as error:
            raise malformed(path, file.written, error) from error
        return self.with_tables(job), file.written

    def read_vehicle(self, path: Path) -> tuple[Vehicle, At]:
        """Return the vehicle of a file as `read_job` does."""
        car, tree = _loaded(path, Vehicle)
        return car, partial(written, path, tree)

    def files(self) -> dict[str, list[Path]]:
        """Return the files of jobs, groups and vehicles."""
        return {kind: self._files(kind) for kind in ("jobs", "groups", "vehicles")}

    def kind_of(self, path: Path) -> str:
        """Return what a file is to hold, `jobs`, `groups` or `vehicles`: by its folder, or by what stands in it."""
        if path.parent.name in ("jobs", "groups", "vehicles"):
            return path.parent.name
        content = read_yaml(path)
        keys = {*content} if isinstance(content, dict) else set()
        return "groups" if "group" in keys else "jobs" if keys & {"steps", "format"} else "vehicles"

    def hearing(self) -> Hearing:
        """Return what the phrases of a job are held against, but for how words sound."""
        folder = self._folders[0] / "phrases"
        near, badly = read_yaml(folder / "near.yaml"), read_yaml(folder / "badly-heard.yaml")
        return Hearing(self.phrases(), self.turning_words(), near, tuple(badly))

    def with_tables(self, job: Procedure) -> Procedure:
        """Return a job with the rows of the tables in which it looks things up, so that its journal needs no file."""
        computed = (CALCULATIONS.get(one.work_out) for one in job.computed.values())
        wanted = {name for one in computed if one for name in one.tables} - {*job.tables}
        if not wanted:
            return job
        rows = {name: tuple(table) for name, table in self.tables().items() if name in wanted}
        return job.model_copy(update={"tables": {**job.tables, **rows}})

    def _vehicle(self, path: Path, job: Procedure | None = None) -> Vehicle:
        car, at = self.read_vehicle(path)
        beside = Beside(jobs=(job,) if job else (), tables=self.tables(), twins=self.twins(path, car))
        return _kept(path, car, beside, at, quick(OF_VEHICLES))

    def twins(self, path: Path, car: Vehicle) -> tuple[str, ...]:
        """Return the other files that give themselves the id of a vehicle."""
        others = (file for file in self._files("vehicles") if real(file) != real(path))
        return tuple(str(file) for file in others if _id_of(file) == car.id)

    def _files(self, kind: str, ending: str = "yaml") -> list[Path]:
        found = {path.stem: path for folder in self._folders for path in (folder / kind).glob(f"*.{ending}")}
        return [found[name] for name in sorted(found)]

    def _find(self, kind: str, what: str, name: str) -> Path:
        if name.endswith((".yaml", ".yml")):
            return Path(name)
        known = {path.stem: path for path in self._files(kind)}
        if name in known:
            return known[name]
        if of_id := next((path for path in known.values() if _id_of(path) == name), None):
            return of_id
        near = get_close_matches(name[:LONGEST_NAME], known, n=1, cutoff=0.3)
        hint = f" Did you mean {near[0]}?" if near else ""
        raise DataError(f"there is no {what} '{short(name)}'.{hint} There are: {', '.join(known)}.")


def _each(
    files: Sequence[Path], read: Callable[[Path], Item], left_out: Callable[[DataError], None] | None
) -> Iterator[Item]:
    """Yield what is in each file; what is wrong is told, where it may be left out."""
    for file in files:
        try:
            yield read(file)
        except DataError as error:
            if not left_out:
                raise
            left_out(error)


def _kept(path: Path, thing: Item, beside: Beside, at: At, rules: Iterable[Rule[Item]]) -> Item:
    """Return what keeps some rules; DataError tells every one that is broken, with its place."""
    if found := [finding(at(place), rule, what) for rule, place, what in found_in(thing, beside, rules)]:
        raise Refused(path, found)
    return thing


def _id_of(path: Path) -> str | None:
    """Return the id that a file gives itself; None where it can't be read."""
    try:
        content = read_yaml(path)
    except DataError:
        return None
    return content.get("id") if isinstance(content, dict) else None


def match_settings(data: Path | None = None, user: str | None = None) -> MatchSettings:
    """Return the weights and thresholds of the matcher, with a user's own ones; DataError where there are none."""
    values = read_yaml(data_folder("models") / "matching.yaml")
    try:
        if data and user:
            values["likely"] |= _own(user_file(data, user))
        likely = values["likely"] | {"together": Weights(**values["likely"]["together"])}
        return MatchSettings(**values | {"likely": JudgeSettings(**likely)})
    except TypeError as error:
        raise DataError(
            f"the thresholds of {user!r} can't be used ({error}): make them anew with: assistant tune"
        ) from error


def _own(file: Path) -> dict[str, float]:
    """Return a user's own thresholds; TypeError where the file holds anything else."""
    own = read_yaml(file)
    if not isinstance(own, dict) or not all(isinstance(value, int | float) for value in own.values()):
        raise TypeError(f"{file} holds no numbers by name")
    return own


def user_file(data: Path, user: str) -> Path:
    """Return where a user's own thresholds are kept; DataError for a name that is no plain word."""
    if not re.fullmatch(r"[\w-]{1,40}", user) or user.lower() in RESERVED:
        raise DataError(f"'{short(user)}' is no name for a user: letters, digits, _ and - are allowed")
    return data / "users" / f"{user}.yaml"


def keep_user(data: Path, user: str, own: dict[str, float]) -> Path:
    """Keep a user's own thresholds, and return where; what was kept before is replaced at once, or not at all."""
    file = user_file(data, user)
    _write_yaml(file, own)
    return file


def _write_yaml(file: Path, content: dict[str, Any]) -> None:
    """Write a YAML file; what was there is replaced at once, or not at all."""
    file.parent.mkdir(parents=True, exist_ok=True)
    write_whole(file, yaml.safe_dump(content, allow_unicode=True))


def settings_file(data: Path) -> Path:
    """Return where the owner's settings are kept."""
    return data / "settings.yaml"


def read_settings(data: Path) -> Settings:
    """Return the owner's settings, the usual ones without a file; DataError for a file that is wrong."""
    file = settings_file(data)
    if not file.exists():
        return Settings()
    try:
        return load(file, Settings)
    except DataError as error:
        raise DataError(f"{error}\nPut it right there, or remove the file and set anew.", say=error.say) from error


def keep_settings(data: Path, settings: Settings) -> Path:
    """Keep what differs from the usual settings, and return where; comments in the file are lost.

    DeviceError where the disk stands in the way.
    """
    file = settings_file(data)
    try:
        _write_yaml(file, settings.model_dump(mode="json", by_alias=True, exclude_defaults=True))
    except OSError as error:
        raise DeviceError(
            f"the settings {file} can't be written: {error}. {disk_fault(error).shown}, or name another folder with "
            "--data",
            say="I can't keep that setting. Look at the screen.",
        ) from error
    return file


def read_manifest() -> Manifest:
    """Return what is known of the models."""
    return load(data_folder("models") / "manifest.yaml", Manifest)


def read_table(path: Path) -> list[dict[str, str]]:
    """Return the rows of a CSV file by its column names; lines that begin with # say where it comes from.

    DataError names the line that has more or fewer cells than there are columns.
    """
    lines = [(number, line) for number, line in enumerate(read_text(path).splitlines(), 1)
             if line.strip() and not line.startswith("#")]  # fmt: skip
    if not lines:
        raise DataError(f"{path}: it is an empty table: put its columns into the first line")
    (_, columns), *rows = zip((number for number, _ in lines), csv.reader(line for _, line in lines), strict=True)
    for number, cells in rows:
        if len(cells) != len(columns):
            raise DataError(f"{path}, line {number}: {len(cells)} cells where there are {len(columns)} columns")
    return [dict(zip(columns, cells, strict=True)) for _, cells in rows]


def read_yaml(path: Path) -> Any:
    """Return the content of a YAML file; DataError names the file and the line."""
    return parsed(path)[0]


def load(path: Path, model: type[Model]) -> Model:
    """Return the checked content of a file; DataError names every fault with its place."""
    return _loaded(path, model)[0]


def _loaded(path: Path, model: type[Model]) -> tuple[Model, yaml.Node | None]:
    content, tree = parsed(path)
    try:
        return model.model_validate(content), tree
    except ValidationError as error:
        raise malformed(path, partial(written, path, tree), error) from error
