"""Archives become models: only those in which every entry is one that is known, whoever made them and however."""

from __future__ import annotations

import hashlib
import io
import stat
import tarfile
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.adapters import model_store
from assistant.adapters.library import read_manifest
from assistant.adapters.model_store import ModelStore, carried, pack
from assistant.core.data.manifest import Known, Model
from assistant.core.errors import DeviceError

FILES = {"conf/model.conf": b"words " * 900, "final.mdl": bytes(range(256)) * 40}
ENTRIES = {f"model/{name}": content for name, content in FILES.items()}


def known(content: bytes) -> Known:
    return Known(size=len(content), sha256=hashlib.sha256(content).hexdigest())


MODEL = Model(id="m", engine="vosk", language="en", version="1", licence="MIT", note="", folder="model",
              url="http://127.0.0.1/m.zip", archive=known(b"any"),
              files={name: known(content) for name, content in FILES.items()})  # fmt: skip


def entry(name: str, mode: int = 0) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name)
    info.external_attr = mode << 16
    return info


def zipped(entries: dict[str, bytes], *more: tuple[zipfile.ZipInfo, bytes], method: int = zipfile.ZIP_STORED) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as file:
        for name, content in entries.items():
            file.writestr(name, content)
        for info, content in more:
            file.writestr(info, content)
    return buffer.getvalue()


@pytest.fixture
def store(tmp_path: Path) -> ModelStore:
    (tmp_path / "store").mkdir()
    return ModelStore(tmp_path / "store")


def names(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


def refused(store: ModelStore, content: bytes, why: str, tmp_path: Path) -> None:
    """See an archive refused, and nothing of it anywhere but itself."""
    store.archive(MODEL).write_bytes(content)
    with pytest.raises(DeviceError, match=why):
        store.unpack(MODEL)
    assert store.path(MODEL) is None
    assert names(tmp_path) == {"store", "store/m.zip"}


def test_an_archive_becomes_a_folder_with_just_its_files(store: ModelStore, tmp_path: Path) -> None:
    assert store.path(MODEL) is None
    others = {"classes.jar": b"of no use", "model/": b""}
    store.archive(MODEL).write_bytes(zipped(others | ENTRIES, method=zipfile.ZIP_DEFLATED))
    folder = store.unpack(MODEL)
    assert store.path(MODEL) == folder
    assert {name: (folder / name).read_bytes() for name in FILES} == FILES
    assert names(tmp_path / "store") == {"m", "m/conf", "m/conf/model.conf", "m/final.mdl"}


@pytest.mark.parametrize("name", ["../out", "/out", "model/../../out", "C:\\out", "model\\..\\..\\out", "//host/out",
                                  "model/x/../../../out", "c:out"])  # fmt: skip
def test_paths_that_lead_out_are_refused(store: ModelStore, tmp_path: Path, name: str) -> None:
    refused(store, zipped(ENTRIES, (entry(name), b"!")), "leads out of it", tmp_path)


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFIFO, stat.S_IFSOCK, stat.S_IFDIR])
@pytest.mark.parametrize("name", ["model/final.mdl", "beside"])
def test_links_and_devices_are_refused(store: ModelStore, tmp_path: Path, kind: int, name: str) -> None:
    rest = {other: content for other, content in ENTRIES.items() if other != name}
    refused(store, zipped(rest, (entry(name, kind | 0o777), b"/etc/passwd")), "no plain file", tmp_path)


def test_a_folder_through_which_a_link_would_lead_is_refused(store: ModelStore, tmp_path: Path) -> None:
    link = (entry("model/conf", stat.S_IFLNK | 0o777), b"/etc")
    refused(store, zipped({}, link, (entry("model/conf/model.conf"), FILES["conf/model.conf"])), "plain file", tmp_path)


def test_hard_links_do_not_come_in_for_the_format_that_has_them_is_not_read(store: ModelStore, tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with tarfile.open(fileobj=buffer, mode="w") as file:
        link = tarfile.TarInfo("model/final.mdl")
        link.type, link.linkname = tarfile.LNKTYPE, "/etc/passwd"
        file.addfile(link)
    refused(store, buffer.getvalue(), "can't be unpacked", tmp_path)


@pytest.mark.parametrize("again", ["model/final.mdl", "MODEL/Final.MDL"])
@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_name_that_comes_twice_is_refused(store: ModelStore, tmp_path: Path, again: str) -> None:
    refused(store, zipped(ENTRIES, (entry(again), FILES["final.mdl"])), "twice", tmp_path)


def test_a_file_that_is_not_known_is_refused(store: ModelStore, tmp_path: Path) -> None:
    refused(store, zipped(ENTRIES | {"model/graph/HCLG.fst": b"!"}), "does not name", tmp_path)


@pytest.mark.parametrize("name", ENTRIES)
def test_a_file_that_lacks_is_missed(store: ModelStore, tmp_path: Path, name: str) -> None:
    refused(store, zipped({other: content for other, content in ENTRIES.items() if other != name}), name, tmp_path)


@pytest.mark.parametrize("name", ENTRIES)
def test_a_changed_file_is_refused(store: ModelStore, tmp_path: Path, name: str) -> None:
    changed = bytes([ENTRIES[name][0] ^ 1]) + ENTRIES[name][1:]
    refused(store, zipped(ENTRIES | {name: changed}), "not the file that the manifest names", tmp_path)


def test_a_bomb_that_tells_its_size_is_refused_unread(store: ModelStore, tmp_path: Path) -> None:
    bomb = zipped(ENTRIES | {"model/final.mdl": bytes(50_000_000)}, method=zipfile.ZIP_DEFLATED)
    assert len(bomb) < 60_000
    refused(store, bomb, "does not name so", tmp_path)


def test_a_bomb_that_lies_about_its_size_is_not_unpacked_any_further(store: ModelStore, tmp_path: Path) -> None:
    size = len(FILES["final.mdl"])
    bomb = zipped(ENTRIES | {"model/final.mdl": bytes(50_000_000)}, method=zipfile.ZIP_DEFLATED)
    lie = bomb.replace((50_000_000).to_bytes(4, "little"), size.to_bytes(4, "little"))
    assert lie.count(size.to_bytes(4, "little")) == 2  # in the entry and in the directory
    refused(store, lie, "can't be unpacked|not the file", tmp_path)


@pytest.mark.parametrize("cut", [1, 30, 3000])
def test_a_truncated_archive_is_refused(store: ModelStore, tmp_path: Path, cut: int) -> None:
    refused(store, zipped(ENTRIES)[:-cut], "can't be unpacked", tmp_path)


@pytest.mark.parametrize("content", [b"", b"no archive", zipped({}), zipped({"other/file": b"x"})])
def test_what_is_no_archive_of_the_model_is_refused(store: ModelStore, tmp_path: Path, content: bytes) -> None:
    refused(store, content, "can't be unpacked|has no model", tmp_path)


def test_an_encrypted_archive_is_refused(store: ModelStore, tmp_path: Path) -> None:
    plain = bytearray(zipped(ENTRIES))
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):  # where the flags stand (APPNOTE 4.3.7, 4.3.12)
        start = -1
        while (start := plain.find(mark, start + 1)) >= 0:
            plain[start + place] |= 1
    refused(store, bytes(plain), "can't be unpacked", tmp_path)


def ended(*arguments: object, **more: object) -> None:
    raise KeyboardInterrupt


@pytest.mark.parametrize("moment", ["a file is written", "the old one is put aside", "the new one is put in place"])
def test_who_ends_it_meanwhile_leaves_the_model_whole_or_not_there(
    store: ModelStore, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    store.archive(MODEL).write_bytes(zipped(ENTRIES))
    folder = store.unpack(MODEL)
    (folder / "final.mdl").write_bytes(b"the old one")
    store.archive(MODEL).write_bytes(zipped(ENTRIES))
    rename: Callable[..., Path] = Path.rename
    which = {"the old one is put aside": "m", "the new one is put in place": "m.new"}.get(moment)
    with monkeypatch.context() as patch:
        if which:
            patch.setattr(Path, "rename", lambda path, to: ended() if path.name == which else rename(path, to))
        else:
            patch.setattr(model_store, "_copy", ended)
        with pytest.raises(KeyboardInterrupt):
            store.unpack(MODEL)
    assert moment == "the new one is put in place" or (folder / "final.mdl").read_bytes() == b"the old one"
    assert moment != "the new one is put in place" or store.path(MODEL) is None
    assert (store.unpack(MODEL) / "final.mdl").read_bytes() == FILES["final.mdl"]  # and what it left is no hindrance
    assert names(folder.parent) == {"m", "m/conf", "m/conf/model.conf", "m/final.mdl"}


def test_packing_makes_the_same_bytes_each_time_and_unpacking_the_same_files(store: ModelStore, tmp_path: Path) -> None:
    for name, content in FILES.items():
        (tmp_path / "plain" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "plain" / name).write_bytes(content)
    found = [pack(MODEL, tmp_path / "plain", file) for file in (tmp_path / "a.zip", store.archive(MODEL))]
    assert found == [known((tmp_path / "a.zip").read_bytes())] * 2
    folder = store.unpack(MODEL)
    assert {name: (folder / name).read_bytes() for name in FILES} == FILES


def test_what_is_not_the_model_is_not_packed(tmp_path: Path) -> None:
    (tmp_path / "conf").mkdir()
    (tmp_path / "conf" / "model.conf").write_bytes(b"another")
    with pytest.raises(DeviceError, match=r"model\.conf"):
        pack(MODEL, tmp_path, tmp_path / "a.zip")
    assert names(tmp_path) == {"conf", "conf/model.conf"}


@pytest.mark.parametrize("name", ["moonshine-tiny-en", "whisper-tiny-en"])
def test_the_manifest_names_the_archives_that_packing_makes(name: str, tmp_path: Path) -> None:
    model = read_manifest().model(name)
    folder = carried(model)
    assert folder
    assert pack(model, folder, tmp_path / "it.zip") == model.archive


@pytest.mark.parametrize("name", ["../x", "/x", "a//b", "a/../b", ".x", "a/.x", "", "C:x"])
def test_the_manifest_can_name_no_file_elsewhere(name: str) -> None:
    with pytest.raises(ValueError, match="pattern"):
        Model.model_validate(MODEL.model_dump() | {"files": {name: {"size": 1, "sha256": "f" * 64}}})
