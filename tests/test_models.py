"""Models that a package carries, brought from another place: packed, served here, fetched, and heard with."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, suppress
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import numpy as np
import pytest

from assistant import wiring
from assistant.adapters import recogniser_moonshine, recogniser_whisper
from assistant.adapters.library import Library, read_manifest
from assistant.adapters.model_store import ModelStore
from assistant.adapters.sound_file import read_sound
from assistant.commands.cli import main
from assistant.core.errors import DeviceError
from assistant.core.types import Phrase, Utterance

CARRIED = ("moonshine-tiny-en", "whisper-tiny-en")
SOUND = Path(__file__).parent / "adapters" / "data" / "what_torque.flac"


class Server(ThreadingHTTPServer):
    daemon_threads = True
    most: int | None = None
    """So many bytes of an archive are sent, and no more until `go_on` is set."""
    go_on: threading.Event

    @property
    def place(self) -> str:
        return f"http://127.0.0.1:{self.server_port}/"


class Handler(SimpleHTTPRequestHandler):
    server: Server

    def copyfile(self, source: object, outputfile: object) -> None:
        with suppress(OSError):  # who fetches may have gone
            if self.server.most:
                outputfile.write(source.read(self.server.most))  # type: ignore[attr-defined]
                self.server.go_on.wait(60)
            super().copyfile(source, outputfile)  # type: ignore[arg-type]

    def log_message(self, *arguments: object) -> None:
        """Say nothing."""


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the archives, made by the program itself."""
    folder = tmp_path_factory.mktemp("archives")
    for name in CARRIED:
        assert main(["models", "pack", name, "--out", str(folder / f"{name}.zip"), "--data", str(folder)]) == 0
    return folder


@pytest.fixture
def server(packed: Path) -> Iterator[Server]:
    server = Server(("127.0.0.1", 0), partial(Handler, directory=str(packed)))
    server.go_on = threading.Event()
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield server
    server.go_on.set()
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def no_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the packages that carry the weights were not installed."""
    for module in (recogniser_moonshine, recogniser_whisper):
        monkeypatch.setattr(module, "find_spec", lambda name: None)


@pytest.mark.parametrize("name", CARRIED)
def test_pack_tells_what_it_made(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["models", "pack", name, "--out", str(tmp_path / "it.zip"), "--data", str(tmp_path)]) == 0
    assert read_manifest().model(name).archive.sha256 in capsys.readouterr().out


@pytest.mark.parametrize("words", [["pack"], ["pack", "vosk-small-en-us"], ["pack", "none"], ["fetch", "none"],
                                   ["fetch", "whisper-tiny-en", "--from", "ftp://127.0.0.1/"]])  # fmt: skip
def test_what_can_not_be_packed_or_fetched_is_told(words: list[str], tmp_path: Path) -> None:
    assert main(["models", *words, "--data", str(tmp_path)]) == 2


@pytest.mark.usefixtures("no_packages")
@pytest.mark.parametrize("name", CARRIED)
def test_without_its_package_a_model_is_fetched_and_heard_with(name: str, server: Server, tmp_path: Path) -> None:
    model = read_manifest().model(name)
    engine = wiring.ENGINES[model.engine]
    with pytest.raises(DeviceError, match=r"not installed.*--from ADDRESS"):
        engine(tmp_path, Library().rules())
    assert main(["models", "fetch", name, "--from", server.place, "--data", str(tmp_path)]) == 0
    samples = np.pad(read_sound(SOUND), (4800, 8000))
    with closing(engine(tmp_path, Library().rules())) as recogniser:
        heard = recogniser.hear(Utterance(samples, 0), [Phrase("torque", "what torque")])
    assert any("what" in hypothesis.text.lower() for hypothesis in heard.written)


def test_the_place_may_be_set_for_good(server: Server, tmp_path: Path) -> None:
    (tmp_path / "settings.yaml").write_text(f"models-from: {server.place}\n", encoding="utf-8")
    assert main(["models", "fetch", "moonshine-tiny-en", "--data", str(tmp_path)]) == 0
    assert wiring.settings(tmp_path).models_from == server.place
    assert ModelStore(tmp_path / "models").path(read_manifest().model("moonshine-tiny-en"))


def test_a_fetched_model_that_was_changed_is_fetched_again(
    server: Server, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fetching = ["models", "fetch", "moonshine-tiny-en", "--from", server.place, "--data", str(tmp_path)]
    assert main(fetching) == 0
    tokenizer = tmp_path / "models" / "moonshine-tiny-en" / "tokenizer.bin"
    whole = tokenizer.read_bytes()
    tokenizer.write_bytes(whole[:-1])
    assert main(fetching) == 0
    assert tokenizer.read_bytes() == whole
    assert main(fetching) == 0
    assert "already there" in capsys.readouterr().out


def test_a_fetch_that_is_killed_in_the_middle_leaves_no_model_and_goes_on_later(server: Server, tmp_path: Path) -> None:
    server.most = 10_000_000
    fetching = [sys.executable, "-m", "assistant", "models", "fetch", "moonshine-tiny-en", "--data", str(tmp_path)]
    child = subprocess.Popen([*fetching, "--from", server.place], stderr=subprocess.DEVNULL)
    part = tmp_path / "models" / "moonshine-tiny-en.zip.part"
    until = time.monotonic() + 60
    while not (part.exists() and part.stat().st_size >= server.most - (1 << 16)) and time.monotonic() < until:
        time.sleep(0.05)
    child.kill()
    child.wait()
    assert [path.name for path in (tmp_path / "models").iterdir()] == [part.name]
    assert 0 < part.stat().st_size < read_manifest().model("moonshine-tiny-en").archive.size
    server.most = None
    assert subprocess.run([*fetching, "--from", server.place], stderr=subprocess.DEVNULL, timeout=120).returncode == 0
    assert [path.name for path in (tmp_path / "models").iterdir()] == ["moonshine-tiny-en"]


def test_without_a_network_it_is_told_and_nothing_is_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = "http://127.0.0.1:9/"
    assert main(["models", "fetch", "moonshine-tiny-en", "--from", place, "--data", str(tmp_path)]) == 1
    assert "could not be fetched" in capsys.readouterr().err
    assert list((tmp_path / "models").iterdir()) == []
