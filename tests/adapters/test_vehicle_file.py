"""A vehicle's file that is wrong is told in one line: the file, the line, the field, what is allowed. Invented cars."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.library import Library, data_folder
from assistant.core.errors import DataError
from assistant.core.quantities.units import amount

CAR = """id: {id}
title: Invented car
about: Invented for tests.
units: metric
tags: ["filter:cartridge"]
values:
  oil-capacity: {{value: {capacity}, source: the invented manual}}
  drain-plug-torque: {{value: {torque}, thread: M14x1.5, source: the invented manual}}
"""


def written(
    folder: Path, name: str = "car", own_id: str = "car", capacity: str = "4.3 L", torque: str = "30 N·m"
) -> Path:
    file = folder / "vehicles" / f"{name}.yaml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(CAR.format(id=own_id, capacity=capacity, torque=torque), encoding="utf-8")
    return file


WITH_UNIT = "write it with its unit, for instance 30 N·m"


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("torque", "30", f"30 is a bare number: {WITH_UNIT}"),
        ("torque", "30.5", f"30.5 is a bare number: {WITH_UNIT}"),
        ("torque", "", f"nothing is no amount: {WITH_UNIT}"),
        ("torque", "[30, N·m]", WITH_UNIT),
        ("torque", "2027-01-01", WITH_UNIT),
        ("torque", "true", WITH_UNIT),
        ("torque", "30 newtons", "30 N is a force, and a torque is needed, from 5 N·m to 100 N·m. Look in the"),
        ("torque", "30 Nmm", "the unit 'Nmm' is not known; near to it, or allowed: "),
        ("torque", "300 N·m", "300 N·m is outside 5 N·m to 100 N·m. Look in the service manual."),
        ("torque", "-5 N·m", "-5 N·m is less than nothing, and it has to be from 5 N·m to 100 N·m. Look in the"),
        ("torque", "5 kgf·m", ""),
        ("torque", "95 N·m", ""),
        ("torque", "about 30 N·m", "only about so much: give the number itself. Write an amount with its unit, for"),
        ("capacity", "3,5 L", "value 3,5 L: a comma ends it between braces: write 3.5 L, with a point"),
        ("capacity", "4-5 L", "is a range, or more than one number: give one number. Write an amount with its unit"),
        ("capacity", "4 qt", "write US qt or imp qt. Write a volume, for instance '3.8 L'"),
        ("capacity", "40 L", "40 L is outside 0.5 L to 15 L. Look in the service manual."),
    ],
)
def test_a_wrong_number_or_unit_is_told_in_one_line_with_what_is_allowed(
    tmp_path: Path, field: str, text: str, said: str
) -> None:
    file, shelf = written(tmp_path, **{field: text}), Library()
    place = {"torque": (8, "drain-plug-torque"), "capacity": (7, "oil-capacity")}[field]
    if not said:
        assert shelf.vehicle(str(file), shelf.job("oil-and-filter")).id == "car"
        return
    with pytest.raises(DataError) as refused:
        shelf.vehicle(str(file), shelf.job("oil-and-filter"))
    assert str(refused.value).startswith(f"{file}:{place[0]}:")
    assert f"] values.{place[1]}" in str(refused.value)
    assert said in str(refused.value)
    assert "\n" not in str(refused.value)
    assert "Input should" not in str(refused.value)


def test_a_decimal_comma_in_quotes_is_read(tmp_path: Path) -> None:
    car = Library().vehicle(str(written(tmp_path, capacity='"3,5 L"')))
    assert car.values["oil-capacity"].value == amount("3.5 L")


def test_two_files_with_one_id_are_refused_with_both_names(tmp_path: Path) -> None:
    written(tmp_path)
    written(tmp_path, name="another", own_id="another")
    other = written(tmp_path, name="copy")
    shelf = Library(data_folder("procedures"), tmp_path)
    for name in ("car", "copy", str(other)):
        with pytest.raises(DataError, match="has the id 'car' too") as refused:
            shelf.vehicle(name)
        assert "car.yaml" in str(refused.value)
        assert "copy.yaml" in str(refused.value)
    assert shelf.vehicle("another").id == "another"
    wrong: list[DataError] = []
    assert "another" in [one.id for one in shelf.vehicles(wrong.append)]
    assert len(wrong) == 2


def test_a_file_of_the_owners_goes_before_one_of_the_same_name(tmp_path: Path) -> None:
    """It stands in its place, so there are not two."""
    file = written(tmp_path, name="tarnwick-plover-16", own_id="tarnwick-plover-16", torque="31 N·m")
    shelf = Library(data_folder("procedures"), tmp_path)
    for name in ("tarnwick-plover-16", str(file)):
        assert shelf.vehicle(name).values["drain-plug-torque"].value == amount("31 N·m")
