"""Fetching against a real server on this machine: resumed, refused, broken, wrong, dead."""

from __future__ import annotations

import hashlib
import io
import threading
import zipfile
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from assistant.adapters.library import read_manifest
from assistant.adapters.model_fetch import address, fetch
from assistant.core.data.manifest import Known
from assistant.core.errors import DataError, DeviceError


def packed(*names: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as file:
        for name in names:
            file.writestr(name, name * 5000)
    return buffer.getvalue()


CONTENT = packed("model/conf/model.conf", "model/am/final.mdl")
KNOWN = Known(size=len(CONTENT), sha256=hashlib.sha256(CONTENT).hexdigest())


class Server(ThreadingHTTPServer):
    ranges = True
    breaks_after: int | None = None
    content = CONTENT
    asked: list[str | None]


class Handler(BaseHTTPRequestHandler):
    server: Server

    def do_GET(self) -> None:
        wanted = self.headers.get("Range")
        self.server.asked.append(wanted)
        start = int(wanted.removeprefix("bytes=").rstrip("-")) if wanted and self.server.ranges else 0
        body = self.server.content[start:]
        self.send_response(206 if start else 200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body[: self.server.breaks_after])

    def log_message(self, *arguments: object) -> None:
        """Say nothing."""


@pytest.fixture
def server() -> Iterator[Server]:
    server = Server(("127.0.0.1", 0), Handler)
    server.asked = []
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def url(server: Server) -> str:
    return f"http://127.0.0.1:{server.server_port}/model.zip"


def nothing(done: int, total: int) -> None:
    """Take no notice."""


def test_progress_is_told_and_the_archive_is_whole(server: Server, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    target = fetch(url(server), KNOWN, tmp_path / "new" / "model.zip", lambda done, total: told.append((done, total)))
    assert target.read_bytes() == CONTENT
    assert told[-1] == (len(CONTENT), len(CONTENT))


def test_a_broken_download_goes_on_where_it_stopped(server: Server, tmp_path: Path) -> None:
    server.breaks_after = 100
    with pytest.raises(DeviceError, match="What came so far is kept"):
        fetch(url(server), KNOWN, tmp_path / "model.zip", nothing)
    server.breaks_after = None
    assert fetch(url(server), KNOWN, tmp_path / "model.zip", nothing).read_bytes() == CONTENT
    assert server.asked == [None, "bytes=100-"]


def test_a_server_without_ranges_starts_anew(server: Server, tmp_path: Path) -> None:
    (tmp_path / "model.zip.part").write_bytes(CONTENT[:50])
    server.ranges = False
    assert fetch(url(server), KNOWN, tmp_path / "model.zip", nothing).read_bytes() == CONTENT


@pytest.mark.parametrize("content", [CONTENT[:-1] + b"x", CONTENT + b"more"])
def test_wrong_bytes_are_removed(server: Server, tmp_path: Path, content: bytes) -> None:
    server.content = content
    with pytest.raises(DeviceError, match="not the expected archive"):
        fetch(url(server), KNOWN, tmp_path / "model.zip", nothing)
    assert list(tmp_path.iterdir()) == []


def test_no_network_is_said_at_once(tmp_path: Path) -> None:
    with pytest.raises(DeviceError, match="goes on with the recogniser"):
        fetch("http://127.0.0.1:9/model.zip", KNOWN, tmp_path / "model.zip", nothing)


def test_what_was_fetched_but_not_unpacked_is_not_fetched_again(tmp_path: Path) -> None:
    (tmp_path / "model.zip").write_bytes(CONTENT)
    assert fetch("http://127.0.0.1:9/model.zip", KNOWN, tmp_path / "model.zip", nothing).read_bytes() == CONTENT


def test_an_archive_may_come_from_a_folder_of_the_owner(tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    (tmp_path / "stick" / "whisper-tiny-en.zip").write_bytes(CONTENT)
    place = address(read_manifest().model("whisper-tiny-en"), str(tmp_path / "stick"))
    assert fetch(place, KNOWN, tmp_path / "model.zip", nothing).read_bytes() == CONTENT
    (tmp_path / "stick" / "whisper-tiny-en.zip").write_bytes(CONTENT[:-1] + b"x")
    with pytest.raises(DeviceError, match="not the expected archive"):
        fetch(place, KNOWN, tmp_path / "other.zip", nothing)


def test_a_place_is_an_archive_or_the_folder_with_it() -> None:
    whisper = read_manifest().model("whisper-tiny-en")
    assert address(whisper, "https://example.org/models/") == "https://example.org/models/whisper-tiny-en.zip"
    assert address(whisper, "https://example.org/mine.zip") == "https://example.org/mine.zip"


@pytest.mark.parametrize("place", ["ftp://example.org/", "file:///etc/", "jar://x/y.zip"])
def test_places_of_other_kinds_are_refused(place: str) -> None:
    with pytest.raises(DataError, match="no place for a model"):
        address(read_manifest().model("whisper-tiny-en"), place)


def test_a_model_of_a_package_has_no_address_of_its_own() -> None:
    with pytest.raises(DataError, match="--from"):
        address(read_manifest().model("whisper-tiny-en"))


def test_the_manifest_knows_its_models() -> None:
    manifest = read_manifest()
    vosk = manifest.model("vosk-small-en-us")
    # The layout of a Maven repository, as its makers describe it ("Maven Repository Layout").
    assert address(vosk).endswith("/com/alphacephei/vosk-model-en/0.3.45/vosk-model-en-0.3.45.aar")
    assert set(manifest.digests("whisper-tiny-en")) == {"config.json", "model.bin", "tokenizer.json", "vocabulary.txt"}
    with pytest.raises(DataError, match="whisper-tiny-en"):
        manifest.model("none")
