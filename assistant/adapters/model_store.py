"""Where fetched models live, how an archive becomes one, and how one becomes an archive. Trusts nothing in an archive.

Only the files that the manifest names are written, each is checked by size and SHA-256 as it is, and the whole is put
in its place by one renaming: whoever ends the program meanwhile leaves the model as it was, or none.
"""

from __future__ import annotations

import hashlib
import shutil
import stat
import zipfile
import zlib
from importlib.util import find_spec
from pathlib import Path, PurePosixPath
from typing import IO

from assistant.core.data.manifest import Known, Model
from assistant.core.errors import DeviceError

_CHUNK = 1 << 16
_BEGINNING = (1980, 1, 1, 0, 0, 0)
"""The first moment that the format of archives knows: whoever packs a model, and when, makes the same bytes."""
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError)
"""What the library raises for an archive that is damaged, encrypted, or packed in a way that it does not know."""


class ModelStore:
    """A folder with one folder a model."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def archive(self, model: Model) -> Path:
        """Return where the archive of a model goes while it is fetched."""
        return self._folder / f"{model.id}.zip"

    def path(self, model: Model) -> Path | None:
        """Return the folder of an unpacked model; None where it is not there."""
        folder = self._folder / model.id
        return folder if folder.is_dir() else None

    def unpack(self, model: Model) -> Path:
        """Unpack a fetched archive, and put the whole in its place in one step; the archive goes.

        Raises `DeviceError` for a damaged archive, one that holds a path that leads out of it, a link, a device, a
        name twice or a file that is not known, one that lacks a file, and a file that is not the expected one.
        """
        archive, target = self.archive(model), self._folder / model.id
        new, old = self._folder / f"{model.id}.new", self._folder / f"{model.id}.old"
        shutil.rmtree(new, ignore_errors=True)  # what one left behind that was ended meanwhile
        try:
            with zipfile.ZipFile(archive) as file:
                for name, member in _members(file, model, archive).items():
                    (new / name).parent.mkdir(parents=True, exist_ok=True)
                    with file.open(member) as packed, (new / name).open("xb") as plain:
                        _copy(packed, plain, name, model.files[name], archive)
        except _DAMAGED as error:
            shutil.rmtree(new, ignore_errors=True)
            raise DeviceError(f"{archive} can't be unpacked: {error}; fetch it again") from error
        except DeviceError:
            shutil.rmtree(new, ignore_errors=True)
            raise
        shutil.rmtree(old, ignore_errors=True)
        if target.exists():
            target.rename(old)
        new.rename(target)
        shutil.rmtree(old, ignore_errors=True)
        archive.unlink()
        return target


def carried(model: Model) -> Path | None:
    """Return the folder of a model inside the package that carries it; None without. The package is not loaded."""
    spec = find_spec(model.module) if model.module else None
    folder = Path(spec.origin).parent / model.folder if spec and spec.origin else None
    return folder if folder and folder.is_dir() else None


def pack(model: Model, folder: Path, file: Path) -> Known:
    """Make the archive of a model from the folder of its files, and return what it is known by.

    The same files make the same bytes, whoever packs them. Raises `DeviceError` where a file is not the expected one,
    or the disk is full: then there is no archive.
    """
    new = file.with_name(file.name + ".part")
    try:
        with zipfile.ZipFile(new, "w") as archive:
            for name, known in model.files.items():
                member = zipfile.ZipInfo(f"{model.folder}/{name}", _BEGINNING)
                member.external_attr, member.create_system, member.file_size = 0o644 << 16, 3, known.size
                with (folder / name).open("rb") as plain, archive.open(member, "w") as packed:
                    _copy(plain, packed, name, known, folder)
        with new.open("rb") as packed:
            found = Known(size=new.stat().st_size, sha256=hashlib.file_digest(packed, "sha256").hexdigest())
        new.replace(file)
    except (OSError, DeviceError) as error:
        new.unlink(missing_ok=True)
        raise DeviceError(f"{model.id} can't be packed: {error}") from error
    return found


def _copy(source: IO[bytes], target: IO[bytes], name: str, known: Known, where: Path) -> None:
    """Copy one file, not more of it than it may have; `DeviceError` unless it is the expected one."""
    digest, size = hashlib.sha256(), 0
    while size <= known.size and (piece := source.read(_CHUNK)):
        digest.update(piece)
        size += len(piece)
        target.write(piece)
    if size != known.size or digest.hexdigest() != known.sha256:
        raise DeviceError(f"{name} in {where} is not the file that the manifest names: it is not used")


def _members(file: zipfile.ZipFile, model: Model, archive: Path) -> dict[str, zipfile.ZipInfo]:
    """Return the entries of a model by the names of its files; `DeviceError` for anything that does not belong there.

    What lies beside the model's folder is left where it is: publishers add files of their own.
    """
    found: dict[str, zipfile.ZipInfo] = {}
    seen: set[str] = set()
    for member in file.infolist():
        if fault := _fault(member, seen):
            raise DeviceError(f"{archive} holds {member.filename!r}, {fault}: it is not used")
        seen.add(member.filename.lower())
        path = PurePosixPath(member.filename)
        if member.is_dir() or not path.is_relative_to(model.folder):
            continue
        name = str(path.relative_to(model.folder))
        if name not in model.files or member.file_size != model.files[name].size:
            raise DeviceError(
                f"{archive} holds {member.filename!r}, which the manifest does not name so: it is not used"
            )
        found[name] = member
    if missing := [name for name in model.files if name not in found]:
        raise DeviceError(f"{archive} has no {model.folder}/{missing[0]}, which the manifest names: it is not used")
    return found


def _fault(member: zipfile.ZipInfo, seen: set[str]) -> str:
    """Return what is wrong with an entry, whatever model it is of; empty where nothing is."""
    name, kind = member.filename.replace("\\", "/"), stat.S_IFMT(member.external_attr >> 16)
    parts = name.split("/")
    if name.startswith("/") or ".." in parts or any(":" in part for part in parts):
        return "which leads out of it"
    if kind not in (0, stat.S_IFDIR if member.is_dir() else stat.S_IFREG):
        return "which is no plain file"
    return "twice" if member.filename.lower() in seen else ""
