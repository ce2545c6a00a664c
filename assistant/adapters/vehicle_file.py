"""Writes files of vehicles, whole or not at all, and keeps the answers of a talk about one that is not at its end."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from assistant.core.car_talk.changing import Change
from assistant.core.car_talk.file_text import file_text
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import Bug, Busy, DataError, DeviceError
from assistant.system import strict_yaml
from assistant.system.disk_fault import disk_fault
from assistant.system.plain_file import read_text
from assistant.system.whole_file import write_whole
from assistant.system.yaml_edit import Unforeseen, with_entry, with_item, with_scalar, without_entry, without_item

ANSWERS = "new-vehicle.json"
"""Name of the file with the answers of a talk about a vehicle, in the data folder."""
LOCKS = "locks"
"""Name of the folder with the locks, in the data folder, where those of the jobs are too, by another ending."""
OLD = ".old"
"""What is added to the name of a file that another took the place of."""


def vehicle_in(text: str) -> Vehicle:
    """Return the vehicle that a text describes; one of `strict_yaml.UNFIT`, ValueError among them, where none."""
    return Vehicle.model_validate(strict_yaml.read(text)[0])


@contextmanager
def alone(data: Path, doing: str, wait: float) -> Iterator[None]:
    """Keep other runs from doing the same to the vehicles of a data folder; Busy where one does for so long [second].

    It is a lock of the operating system, and ends with the process that holds it, however that ends.
    """
    lock = FileLock(data / LOCKS / f"{doing}.held", timeout=wait, fallback_to_soft=False, preserve_lock_file=True)
    try:
        (data / LOCKS).mkdir(parents=True, exist_ok=True)
        lock.acquire()
    except Timeout:
        raise Busy(
            "another run of this program is at the vehicles of this folder. End it first",
            say="Another run is at the vehicles. End it first.",
        ) from None
    except OSError:  # a folder that can't be written to: what is written there fails with its own reason
        yield
        return
    try:
        yield
    finally:
        lock.release()


def write_vehicle(data: Path, vehicle: Vehicle, *, replace: bool) -> Path:
    """Write the file of a new vehicle into the owner's folder, and return where.

    DataError where there is one by that name and it is not to be replaced; a replaced one is kept beside it.
    """
    file = data / "procedures" / "vehicles" / f"{vehicle.id}.yaml"
    text = file_text(vehicle)
    if vehicle_in(text) != vehicle:
        raise Bug(f"the file of {vehicle.id} would not say what was told")
    if file.exists() and not replace:
        raise DataError(f"{file} is there already, and stays as it is. Choose another name")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        if file.exists():
            shutil.copy2(file, file.with_name(file.name + OLD))
        write_whole(file, text)
    except OSError as error:
        raise _unwritable(file, error) from error
    return file


def _unwritable(file: Path, error: OSError) -> DeviceError:
    return DeviceError(
        f"{file} can't be written: {error.strerror or error}. {disk_fault(error).shown}, or name another folder with "
        "--data",
        say="I can't write the file. What you told is kept.",
    )


def keep_answers(data: Path, rows: Sequence[Sequence[str]]) -> None:
    """Keep the answers of a talk; DeviceError where the disk stands in the way."""
    file = data / ANSWERS
    try:
        data.mkdir(parents=True, exist_ok=True)
        write_whole(file, json.dumps(rows, ensure_ascii=False, indent=0))
    except OSError as error:
        raise _unwritable(file, error) from error


def kept_answers(data: Path) -> object:
    """Return the answers that were kept, as they stand there; None without any.

    DataError where the file is none: it is put aside, and nothing is kept any more.
    """
    file = data / ANSWERS
    if not file.exists():
        return None
    try:
        return json.loads(read_text(file))
    except (DataError, ValueError, RecursionError) as error:
        aside = file.with_suffix(".damaged")
        with suppress(OSError):
            file.replace(aside)
        raise DataError(f"{file}: what was told of a vehicle can't be read; it is put aside as {aside.name}") from error


def forget_answers(data: Path) -> None:
    """Forget the answers of a talk that is at its end."""
    with suppress(OSError):
        (data / ANSWERS).unlink(missing_ok=True)


def change_vehicle(file: Path, change: Change) -> None:
    """Change one thing in the file of a vehicle; its comments and its order stay. DataError where that can't be."""
    text = read_text(file)
    by_hand = f"{file}: {change.name} can't be put right by command as it is written there: do it by hand"
    try:
        changed = _changed(text, change)
        found = vehicle_in(changed)
    except (Unforeseen, *strict_yaml.UNFIT) as error:
        raise DataError(f"{by_hand} ({error})") from error
    if set(found.tags) != set(change.vehicle.tags) or _but_tags(found) != _but_tags(change.vehicle):
        raise DataError(by_hand)
    try:
        write_whole(file, changed)
    except OSError as error:
        raise _unwritable(file, error) from error


def _but_tags(vehicle: Vehicle) -> Vehicle:
    return vehicle.model_copy(update={"tags": ()})


def _changed(text: str, change: Change) -> str:
    for gone in change.gone:
        remove = without_item if change.section == "tags" else without_entry
        text = remove(text, change.section, gone)
    for written in change.fields.values() if change.section == "tags" else ():
        text = with_item(text, "tags", written)
    if change.section in ("values", "notes") and change.fields:
        text = with_entry(text, change.section, change.name, change.fields)
    if change.section == change.name:
        text = with_scalar(text, change.name, change.fields[change.name])
    return text
