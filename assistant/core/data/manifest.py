"""What is known of each model: where it comes from, how large it is, and its SHA-256. Never reads a model."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from assistant.core.data.base import Data, Name
from assistant.core.errors import DataError

FileName = Annotated[str, Field(pattern=r"^\w[\w.-]*(/\w[\w.-]*)*$")]
"""A path that leads nowhere else: no part of it begins with a dot, and none is empty."""
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Known(Data):
    """A file by its size [byte] and its SHA-256."""

    size: Annotated[int, Field(gt=0)]
    sha256: Sha256


class Model(Data):
    """One model: either it comes inside a package, or its makers publish an archive; each may be fetched elsewhere."""

    id: Name
    engine: Literal["moonshine", "whisper", "vosk"]
    language: str
    version: str
    licence: str
    note: str
    folder: str
    """Where its files lie, inside the package's module and inside the archive; with slashes."""
    package: str | None = None
    module: str | None = None
    url: str | None = None
    maven: Annotated[str, Field(pattern=r"^[^:]+:[^:]+:[^:]+:[^:]+$")] | None = None
    """Coordinates of the archive where Java packages are published: group, artifact, kind and version."""
    archive: Known
    """The one archive that it may be fetched as: of a package's files the one that packing makes of them."""
    files: Annotated[dict[FileName, Known], Field(min_length=1)]
    """All files of it, by their paths within the folder."""

    @property
    def digests(self) -> dict[str, str]:
        """The SHA-256 of each file."""
        return {file: known.sha256 for file, known in self.files.items()}

    @model_validator(mode="after")
    def _one_origin(self) -> Self:
        packaged = self.package is not None and self.module is not None
        published = (self.url is None) != (self.maven is None)
        if packaged == published:
            raise ValueError("a model has either `package` and `module`, or `url` or `maven`")
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
        """Return the SHA-256 of each file of a model."""
        return self.model(name).digests
