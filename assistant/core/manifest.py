"""What is known of each model: where it comes from, how large it is, and its SHA-256. Never reads a model."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from assistant.core.data import Data, Name
from assistant.core.errors import DataError

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Known(Data):
    """A file by its size [byte] and its SHA-256."""

    size: Annotated[int, Field(gt=0)]
    sha256: Sha256


class Model(Data):
    """One model: either carried by a package, file by file, or fetched as one archive."""

    id: Name
    engine: Literal["moonshine", "whisper", "vosk"]
    language: str
    version: str
    licence: str
    note: str
    folder: str
    """Where its files lie: inside the package's module, or inside the archive."""
    package: str | None = None
    module: str | None = None
    files: dict[str, Known] = Field(default_factory=dict)
    url: str | None = None
    maven: Annotated[str, Field(pattern=r"^[^:]+:[^:]+:[^:]+:[^:]+$")] | None = None
    """Coordinates of the archive where Java packages are published: group, artifact, kind and version."""
    archive: Known | None = None

    @model_validator(mode="after")
    def _one_origin(self) -> Self:
        packaged = bool(self.package and self.module and self.files)
        fetched = self.archive and (self.url is None) != (self.maven is None)
        if packaged == bool(fetched):
            raise ValueError("a model has either `package`, `module` and `files`, or `archive` and `url` or `maven`")
        return self


class Manifest(Data):
    """All models that the program may use."""

    models: tuple[Model, ...]

    def model(self, name: str) -> Model:
        """Return one model by id; DataError names all."""
        for model in self.models:
            if model.id == name:
                return model
        raise DataError(f"there is no model {name!r}. There are: {', '.join(model.id for model in self.models)}.")

    def digests(self, name: str) -> dict[str, str]:
        """Return the SHA-256 of each file of a packaged model."""
        return {file: known.sha256 for file, known in self.model(name).files.items()}
