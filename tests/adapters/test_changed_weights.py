"""One changed byte in any file of a model is found before any library that could stumble over it is even loaded."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.adapters.library import read_manifest
from assistant.adapters.model_store import carried
from assistant.adapters.recogniser_moonshine import MoonshineModel
from assistant.adapters.recogniser_vosk import VoskModel
from assistant.adapters.recogniser_whisper import WhisperModel
from assistant.core.data.manifest import Model
from assistant.core.errors import DeviceError

LIBRARIES = ("onnxruntime", "faster_whisper", "ctranslate2", "tokenizers", "vosk")
LOADS: dict[str, Callable[[Path, Model], object]] = {
    "moonshine": lambda folder, model: MoonshineModel(folder, model.digests, {}),
    "whisper": lambda folder, model: WhisperModel(folder, model.digests),
    "vosk": lambda folder, model: VoskModel(folder, {}, model.digests),
}
MODELS = {model.id: model for model in read_manifest().models}


@pytest.fixture(autouse=True)
def no_libraries(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in LIBRARIES:
        monkeypatch.setitem(sys.modules, name, None)  # now `import` raises ImportError


def folder_of(model: Model, request: pytest.FixtureRequest) -> Path:
    found: Path = carried(model) or request.getfixturevalue("vosk_english")
    return found


def copied(model: Model, source: Path, target: Path, changed: str = "") -> Path:
    """Return a folder with the files of a model, of which one has another byte in its middle."""
    for name in model.files:
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        if name != changed:
            (target / name).symlink_to(source / name)
            continue
        content = bytearray((source / name).read_bytes())
        content[len(content) // 2] ^= 1
        (target / name).write_bytes(content)
    return target


@pytest.mark.parametrize("model_id", MODELS)
def test_a_whole_model_gets_as_far_as_to_its_library(
    model_id: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    model = MODELS[model_id]
    with pytest.raises(ImportError, match="None in sys"):
        LOADS[model.engine](copied(model, folder_of(model, request), tmp_path), model)


@pytest.mark.parametrize(("model_id", "name"), [(model.id, name) for model in MODELS.values() for name in model.files])
def test_one_changed_byte_is_refused(model_id: str, name: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    model = MODELS[model_id]
    folder = copied(model, folder_of(model, request), tmp_path, name)
    with pytest.raises(DeviceError, match=rf"{name} has the SHA-256"):
        LOADS[model.engine](folder, model)


def test_a_file_that_would_be_read_beside_the_known_ones_is_refused(
    request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    model = MODELS["vosk-small-en-us"]
    folder = copied(model, folder_of(model, request), tmp_path)
    (folder / "graph" / "HCLG.fst").write_bytes(b"Vosk would take this one")
    with pytest.raises(DeviceError, match=r"HCLG\.fst is no part of it"):
        VoskModel(folder, {}, model.digests)
