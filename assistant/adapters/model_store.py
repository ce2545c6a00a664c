"""Where fetched models live, and how an archive becomes one. Never trusts a path inside an archive."""

from __future__ import annotations

import shutil
import tempfile
import zipfile
from pathlib import Path

from assistant.core.errors import DeviceError
from assistant.core.manifest import Model


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
        """Unpack a checked archive, and put the whole in its place in one step; the archive goes.

        Raises `DeviceError` for a damaged archive, a path that leads out of it, or one without the model's folder.
        """
        archive, target = self.archive(model), self._folder / model.id
        with tempfile.TemporaryDirectory(dir=self._folder) as place:
            try:
                with zipfile.ZipFile(archive) as file:
                    _refuse_escapes(file, archive)
                    file.extractall(place)
            except (zipfile.BadZipFile, OSError) as error:
                raise DeviceError(f"{archive} can't be unpacked: {error}; fetch it again") from error
            inside = Path(place) / model.folder
            if not inside.is_dir():
                raise DeviceError(f"{archive} has no folder {model.folder!r}, which the manifest names")
            shutil.rmtree(target, ignore_errors=True)
            inside.rename(target)
        archive.unlink()
        return target


def _refuse_escapes(file: zipfile.ZipFile, archive: Path) -> None:
    for name in file.namelist():
        parts = Path(name.replace("\\", "/")).parts
        if name.startswith(("/", "\\")) or ".." in parts or any(":" in part for part in parts):
            raise DeviceError(f"{archive} holds the path {name!r}, which leads out of it: it is not used")
