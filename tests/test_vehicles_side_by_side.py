"""Two runs at the vehicles of one folder, and a folder with a link that leads nowhere. All cars are invented."""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path

import pytest

from assistant import wiring
from assistant.adapters import vehicle_file
from assistant.adapters.library import Library, data_folder
from assistant.commands import cli, vehicle

CAR = data_folder("procedures") / "vehicles" / "tarnwick-plover-16.yaml"


def own_car(data: Path) -> Path:
    """Write an owner's car, and return its file."""
    file = data / "procedures" / "vehicles" / "my-car.yaml"
    file.parent.mkdir(parents=True)
    file.write_text(CAR.read_text(encoding="utf-8").replace("id: tarnwick-plover-16", "id: my-car"), encoding="utf-8")
    return file


def put(data: Path, name: str, value: str) -> int:
    return cli.main(["vehicle", "set", "my-car", name, value, "--source", "manual", "--data", str(data)])


def test_two_values_that_are_set_at_once_are_both_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file, whole = own_car(tmp_path), vehicle_file.write_whole

    def slowly(place: Path, text: str) -> None:
        time.sleep(1.0)  # the other run has read the file by then, if it may
        whole(place, text)

    monkeypatch.setattr(vehicle_file, "write_whole", slowly)
    codes: list[int] = []
    wishes = (("mass", "1400 kg"), ("oil-capacity", "4.5 L"))
    runs = [threading.Thread(target=lambda wish=wish: codes.append(put(tmp_path, *wish))) for wish in wishes]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert codes == [0, 0]
    found = Library(data_folder("procedures"), tmp_path / "procedures").vehicle(str(file)).values
    assert [str(found[name].value.magnitude) for name, _ in wishes] == ["1400", "4.5"]


def test_who_waits_for_another_run_in_vain_is_told_and_the_file_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = own_car(tmp_path)
    before = file.read_bytes()
    monkeypatch.setattr(vehicle, "PATIENCE", 0.1)
    with wiring.alone_at_vehicles(tmp_path, "vehicles", 0.0):
        assert put(tmp_path, "mass", "1400 kg") == 1
    assert "another run of this program is at the vehicles of this folder" in capsys.readouterr().err
    assert file.read_bytes() == before
    assert put(tmp_path, "mass", "1400 kg") == 0


def test_of_two_talks_about_a_car_the_second_does_not_begin(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with wiring.alone_at_vehicles(tmp_path, "new-vehicle", 0.0):
        assert cli.main(["vehicle", "new", "--typed", "--data", str(tmp_path)]) == 1
    said = capsys.readouterr()
    assert "another run of this program" in said.err


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
def test_a_link_that_leads_to_itself_keeps_no_other_vehicle_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    loop = own_car(tmp_path).with_name("loop.yaml")
    loop.symlink_to(loop.name)
    assert put(tmp_path, "mass", "1400 kg") == 0
    assert cli.main(["vehicle", "list", "--data", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert "my-car: " in said.out
    assert "loop.yaml: it can't be opened" in said.err
