"""A car told by question and answer, shown, and put right: the command on real files. All cars are invented."""

from __future__ import annotations

import json
import shutil
import stat
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile
import yaml

from assistant.adapters.library import Library, data_folder
from assistant.adapters.vehicle_file import write_vehicle
from assistant.commands import cli
from assistant.commands.new_vehicle import NOT_HERE
from assistant.core.car_talk.wanted import uses, values_of
from assistant.core.errors import DataError
from tests.benchmarks.sounds import say
from tests.short_job import write_short_job

JOB = Library().job("oil-and-filter")
ORDER = values_of(JOB, uses(JOB), frozenset({"filter:cartridge"}))
HEAD = ("Red car", "metric units", "a cartridge", "open underneath")
ANSWERS = {
    "oil-capacity": ("4,3 l", "service manual, page 12"),
    "dipstick-span": ("one litre", "in the service manual"),
    "drain-plug-torque": ("30 Nm", "M14x1.5", "told by me"),
    "filter-cap-torque": ("25 newton metres", "on the plate"),
    "mass": ("leave that one out",),
    "interval-distance": ("15000 km", "in the handbook"),
    "interval-time": ("twelve months", "service manual page seven"),
}


def up_to(name: str = "", **other: tuple[str, ...]) -> list[str]:
    """Return what is typed up to the question for a value, or to the end; some answers may be others."""
    names = ORDER[: ORDER.index(name)] if name else ORDER
    answers = ANSWERS | {one.replace("_", "-"): lines for one, lines in other.items()}
    return [*HEAD, *(line for one in names for line in answers[one])]


STRAIGHT = "\n".join(up_to()) + "\n"
CONFIRMED = STRAIGHT + "confirm the car\n"


class Told:
    """The program with a folder of its own."""

    def __init__(self, data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.data, self.monkeypatch, self.capsys = data, monkeypatch, capsys

    def __call__(self, *words: str, typed: str = "") -> tuple[int, str, str]:
        """Run a command, and return its exit code, its output and its notes."""
        code = self.command("vehicle", *words, typed=typed)
        said = self.capsys.readouterr()
        return code, said.out, said.err

    def command(self, *words: str, typed: str) -> int:
        (self.data / "lines.txt").write_text(typed, encoding="utf-8")
        with (self.data / "lines.txt").open(encoding="utf-8") as lines:
            self.monkeypatch.setattr("sys.stdin", lines)
            return cli.main([*words, "--data", str(self.data)])

    def run(self, *words: str, typed: str) -> int:
        """Do a job, and return its exit code."""
        code = self.command("run", *words, "--typed", typed=typed)
        self.capsys.readouterr()
        return code

    def new(self, typed: str, *words: str) -> list[str]:
        """Tell a car for one job, and return what was said."""
        words = words or ("--job", JOB.id)
        code, out, notes = self("new", "--typed", "--json", *words, typed=typed)
        assert code == 0, notes
        return [json.loads(line)["say"] for line in out.splitlines()]

    def file(self, name: str = "red-car") -> Path:
        return self.data / "procedures" / "vehicles" / f"{name}.yaml"


@pytest.fixture
def told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Told:
    return Told(tmp_path, monkeypatch, capsys)


def test_a_car_is_told_read_back_confirmed_written_and_done_a_job_with(told: Told) -> None:
    said = told.new(CONFIRMED)
    assert "Drain plug torque: thirty, newton metres, three zero." in said[-2]
    assert said[-2].endswith("Left out: mass of the car. If it is right, say: confirm the car.")
    assert said[-1].endswith("ready for: Engine oil and filter change. There I shall ask for: mass of the car.")
    car = Library(told.data / "procedures").vehicle("red-car")
    assert (car.title, car.units, car.tags) == ("Red car", "metric", ("filter:cartridge",))
    assert {name: str(spec.value.magnitude) for name, spec in car.values.items()} == {
        "oil-capacity": "4.3", "dipstick-span": "1", "drain-plug-torque": "30", "filter-cap-torque": "25",
        "interval-distance": "15000", "interval-time": "12"}  # fmt: skip
    assert {spec.source.partition(",")[0] for spec in car.values.values()} == {
        "service manual", "told by the owner", "plate on the car", "owner's handbook"}  # fmt: skip
    assert (car.values["drain-plug-torque"].thread, car.values["interval-time"].source) == (
        "M14x1.5", "service manual, page 7")  # fmt: skip
    if sys.platform != "win32":
        assert stat.S_IMODE(told.file().stat().st_mode) == 0o600
    assert not (told.data / "new-vehicle.json").exists()
    assert told.run("oil-and-filter", "--vehicle", "red-car", typed="84200 kilometres\n") == 0


@pytest.mark.parametrize("lines", [1, 4, 6, 11, len(STRAIGHT.splitlines())])
def test_whoever_is_interrupted_anywhere_carries_on_with_nothing_lost(told: Told, lines: int) -> None:
    every = CONFIRMED.splitlines()
    told.new("\n".join(every[:lines]))
    assert not told.file().exists()
    said = told.new("\n".join(["carry on with the car", *every[lines:]]))
    assert said[0] == "A car is told in part: Red car. Say: carry on with the car. Or: begin it anew."
    assert len(yaml.safe_load(told.file().read_text(encoding="utf-8"))["values"]) == 6
    assert len(said) == len(every) - lines + 2


def test_begun_anew_the_old_answers_go_and_what_is_no_record_is_put_aside(told: Told) -> None:
    told.new(STRAIGHT)
    said = told.new("begin it anew\nBlue car\n")
    assert said[1] == "I begin anew. What is the car called? Type its name."
    (told.data / "new-vehicle.json").write_text("{ no", encoding="utf-8")
    code, out, notes = told("new", "--typed", "--job", JOB.id)
    assert (code, out.strip()) == (0, "What is the car called? Type its name.")
    assert "is put aside as new-vehicle.damaged" in notes
    assert (told.data / "new-vehicle.damaged").read_text(encoding="utf-8") == "{ no"


def test_of_several_jobs_it_asks_for_which_and_shows_them_all(told: Told) -> None:
    write_short_job(told.data)
    code, out, notes = told("new", "--typed", typed="no such job\nshort\nGreen car\n")
    assert code == 0
    assert "short: " in notes and "oil-and-filter: " in notes
    assert out.startswith("For which job shall I know the car?")
    assert out.count("For which job") == 2
    assert "Which units" in out
    code, out, _ = told("new", "--typed", "--job", "short", typed="begin it anew\nGreen car\nmetric\n")
    assert (code, "For which job" in out, "Which units" in out) == (0, False, True)


def test_a_file_is_never_overwritten_without_a_question(told: Told) -> None:
    told.new(CONFIRMED)
    first = told.file().read_bytes()
    rest = "\n".join(CONFIRMED.splitlines()[1:])
    said = told.new(f"Red car\nkeep both of them\n{rest}\n")
    assert said[1].endswith("There is a car called Red car. Say: replace the old file. Or: keep both of them.")
    assert told.file("red-car-2").exists() and told.file().read_bytes() == first
    told.new(f"Red car\nreplace the old file\n{rest}\n".replace("4,3 l", "4,5 l"))
    assert "value: 4.5 L" in told.file().read_text(encoding="utf-8")
    assert told.file().with_name("red-car.yaml.old").read_bytes() == first


def test_a_file_that_came_meanwhile_stays_and_the_answers_too(told: Told) -> None:
    told.new(STRAIGHT)
    car = Library().vehicle("tarnwick-plover-16").model_copy(update={"id": "red-car"})
    written = write_vehicle(told.data, car, replace=False).read_bytes()
    with pytest.raises(DataError, match="stays as it is"):
        write_vehicle(told.data, car, replace=False)
    said = told.new("carry on with the car\nkeep both of them\nconfirm the car\n")
    assert said[1].startswith("I carry on. There is a car called Red car.")
    assert told.file().read_bytes() == written and told.file("red-car-2").exists()


TIRED = [
    # what is typed at the question for the drain plug torque, and what is said then
    ("not thirty newton metres", NOT_HERE),
    ("no", NOT_HERE),
    ("errr hm", NOT_HERE),
    ("what", NOT_HERE),
    ("why", NOT_HERE),
    ("confirm the car", NOT_HERE),
    ("metric units", NOT_HERE),
    ("thirty newton metres?", NOT_HERE),
    ("4.3 l", "I need a torque"),
    ("30", "I need a torque, with its unit."),
    ("3,000", "I need a torque, with its unit."),
    ("3,000 Nm", "Three, or three thousand?"),
    ("20-30 Nm", "That is more than one number. Give me one."),
    ("about 30 Nm", ""),
    ("300 Nm", "That can't be the drain plug torque."),
    ("0 Nm", "That can't be the drain plug torque."),
    ("-30 Nm", "That can't be"),
    ("30 kg", "I need a torque, with its unit."),
    ("next step", NOT_HERE),
]


def test_who_is_tired_is_asked_again_and_nothing_counts(told: Told) -> None:
    before = up_to("drain-plug-torque")
    heard = told.new("\n".join([*before, *(typed for typed, _ in TIRED)]))[len(before) + 1 :]
    for (typed, said), answer in zip(TIRED, heard, strict=True):
        assert answer.startswith(said), (typed, answer)
        assert "Drain plug torque?" in answer, typed


@pytest.mark.parametrize(
    ("typed", "value"),
    [("22,5 Nm", "22.5 N·m"), ("it is 30 newton metres\n31 lbf·ft", "31 lbf·ft"),
     ("30 Nm\nthat was wrong\n30 Nm\nmanual\ngo back one step\nthe drain plug torque is wrong\n33 Nm", "33 N·m")],
)  # fmt: skip
def test_a_torque_in_other_units_with_a_comma_or_put_right_is_kept_as_told(told: Told, typed: str, value: str) -> None:
    before = "\n".join(up_to("drain-plug-torque"))
    said = told.new(f"{before}\n{typed}\nmanual, page 3\nthat is enough for now\nconfirm the car\n")
    assert said[-1].startswith("It is written."), said
    kept = yaml.safe_load(told.file().read_text(encoding="utf-8"))["values"]["drain-plug-torque"]
    assert kept == {"value": value, "source": "manual, page 3"}


def test_value_and_source_in_one_breath_are_read_back_before_the_next_question(told: Told) -> None:
    breath = {
        "dipstick_span": ("1 l, a friend",), "drain_plug_torque": ("thirty newton metres from the same source",),
        "filter_cap_torque": ("25 Nm, the same source",), "mass": ("1,3 t; weighed",),
    }  # fmt: skip
    said = " ".join(told.new("\n".join(up_to(**breath, oil_capacity=("4 l", "manual, page 3")))))
    assert "I heard: one litre. " in said
    assert "I heard: thirty, newton metres, three zero. " in said
    rows = json.loads((told.data / "new-vehicle.json").read_text(encoding="utf-8"))
    sources = {name: what for topic, name, what in rows if topic == "source"}
    assert (sources["dipstick-span"], sources["mass"]) == ("a friend", "weighed")
    before = ORDER[ORDER.index("drain-plug-torque") - 1]
    assert sources["drain-plug-torque"] == sources["filter-cap-torque"] == sources[before]


@pytest.mark.parametrize("typed", ["25 N.m, manual page 4", "1340 kg from the plate"])
def test_an_amount_of_another_kind_is_no_source(told: Told, typed: str) -> None:
    said = told.new("\n".join([*up_to("oil-capacity"), "4,3 l", typed, "manual, page 3"]))
    assert any("I need a volume" in one and "Where does it stand" in one for one in said), said
    rows = json.loads((told.data / "new-vehicle.json").read_text(encoding="utf-8"))
    assert ["source", "oil-capacity", "manual, page 3"] in rows


def test_a_value_is_put_right_with_its_source_where_the_source_is_asked(told: Told) -> None:
    told.new("\n".join([*up_to("oil-capacity"), "4,3 l", "4,5 l, manual page 4"]))
    rows = json.loads((told.data / "new-vehicle.json").read_text(encoding="utf-8"))
    assert rows[-2:] == [["value", "oil-capacity", "4.5 L"], ["source", "oil-capacity", "manual page 4"]]


def test_a_torque_that_its_bolt_can_not_bear_is_refused(told: Told) -> None:
    before = "\n".join(up_to("drain-plug-torque"))
    said = told.new(f"{before}\n60 Nm\nM6\nM14x1,5\nmanual\n")
    assert said[-3].startswith("That torque does not fit that thread.")
    assert said[-2].startswith("It is for M14x1.5.")


def test_values_that_can_not_both_be_right_are_refused_with_the_way_out(told: Told) -> None:
    assert ORDER.index("oil-capacity") < ORDER.index("dipstick-span")
    before = "\n".join(up_to("dipstick-span", oil_capacity=("2 l", "manual")))
    said = told.new(f"{before}\n3 l\nthe oil capacity with filter is wrong\n4 l\nmanual\n3 l\n")
    assert said[-5].startswith(
        "The capacity must be larger than the amount between the marks. Or say: the oil capacity"
    )
    assert said[-1] == "The same source? Three litres."


def test_what_is_confirmed_is_only_the_car_and_a_denial_writes_nothing(told: Told) -> None:
    said = told.new(STRAIGHT + "do not confirm the car\nokay\nthe units are wrong\nAmerican measures\n")
    assert said[-4].startswith("Then it is not written.")
    assert said[-3] == f"{NOT_HERE} If it is right, say: confirm the car."
    assert "Red car, in American measures." in said[-1]
    assert not told.file().exists()


# --- list, show, set, forget ---


RED = """# Mine.
id: red-car
title: Red car
about: An invented car.
units: metric
tags: [filter:cartridge]
values:
  oil-capacity: {value: 4.3 L, source: "service manual, page 12"}
  dipstick-span: {value: 1 L, source: "service manual, page 12"}
  # measured twice
  drain-plug-torque: {value: 30 N·m, thread: "M14x1.5", source: told by the owner}
  filter-cap-torque: {value: 25 N·m, source: plate on the car}
  interval-distance: {value: 15000 km, source: plate on the car}
  interval-time: {value: 12 month, source: "service manual, page 7"}
notes: {}
"""


@pytest.fixture
def red(told: Told) -> Told:
    """The program with a red car, in a file with comments of its owner."""
    told.file().parent.mkdir(parents=True)
    told.file().write_text(RED, encoding="utf-8")
    return told


def test_a_car_is_shown_with_sources_with_what_is_missing_and_what_was_told_in_jobs(red: Told) -> None:
    job = (
        "84200 kilometres\nnext step\nnext step\nnext step\nwith jack and stands\non concrete\nit stayed in its place\n"
    )
    job += "1300 kilograms\nconfirm mass of the car\n"
    assert red.run("oil-and-filter", "--vehicle", "red-car", typed=job) == 0
    code, out, _ = red("show")
    assert code == 0
    assert "drain plug torque: 30 N·m, thirty, newton metres, three zero; on M14x1.5 of 8.8; told by the owner" in out
    assert "told in a job, mass of the car: 1300 kg" in out
    assert "a cartridge filter" in out and "open underneath" in out
    shown = json.loads(red("show", "red-car", "--job", "oil-and-filter", "--json")[1])
    assert shown["jobs"] == [
        {"id": "oil-and-filter", "ready": True, "fault": "", "values": [],
         "notes": ["oil-grade", "washer", "plug-tool", "filter-tool"]}]  # fmt: skip
    assert shown["told"]["mass"]["value"] == "1300"
    code, _, notes = red("set", "red-car", "mass", "1310 kg", "--source", "plate")
    assert "in jobs 1300 kg was told; what stands in the file goes before" in notes
    assert "; the file goes before" in red("show")[1]


def test_values_notes_tags_and_words_are_put_right_and_comments_stay(red: Told) -> None:
    before = red.file().read_text(encoding="utf-8")
    assert red("set", "red-car", "drain-plug-torque", "33 Nm", "--source", "manual, page 9")[0] == 0
    after = red.file().read_text(encoding="utf-8")
    assert [line for line in after.splitlines() if line not in before.splitlines()] == [
        '  drain-plug-torque: {value: 33 N·m, thread: "M14x1.5", source: "manual, page 9"}']  # fmt: skip
    assert "  # measured twice\n" in after
    for words in (
        ("set", "red-car", "oil-grade", "five W thirty", "--source", "manual"),
        ("set", "red-car", "filter", "spin-on"),
        ("set", "red-car", "tray:fitted"),
        ("set", "red-car", "title", "Red: the 2nd"),
        ("forget", "red-car", "interval-time"),
    ):
        code, out, notes = red(*words)
        assert code == 0, (out, notes)
    car = Library(red.data / "procedures").vehicle("red-car")
    assert car.notes["oil-grade"].say == "five W thirty"
    assert set(car.tags) == {"filter:spin-on", "tray:fitted"}
    assert car.title == "Red: the 2nd"
    assert "interval-time" not in car.values


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("set", "red-car", "drain-plug-torque", "300 N·m", "--source", "me!"), "outside 5 N·m to 100 N·m"),
        (("set", "red-car", "drain-plug-torque", "30", "--source", "me!"), "has no unit"),
        (("set", "red-car", "drain-plug-torque", "30 N·m"), "--source"),
        (("set", "red-car", "drain-plug-torque", "90 N·m", "--thread", "M6", "--source", "me!"), "such a bolt bears"),
        (("set", "red-car", "dipstick-span", "2.9 L", "--source", "me!"), ""),
        (("set", "red-car", "oil-capacity", "0.9 L", "--source", "me!"), "the capacity is the larger"),
        (("set", "red-car", "drain-torque", "30 N·m", "--source", "me!"), "Did you mean drain-plug-torque?"),
        (("set", "red-car", "units", "parsec"), "choose metric, imperial, us"),
        (("set", "red-car", "oil-grade", "two\nlines", "--source", "me!"), "no text in one line"),
        (("set", "red-car", "oil-grade"), "say what"),
        (("forget", "red-car", "mass"), "says nothing of 'mass'"),
        (("set", "tarnwick-plover-16", "mass", "1 t", "--source", "me!"), "travels with the program"),
        (("set", "no-such-car", "mass", "1 t", "--source", "me!"), "there is no vehicle"),
    ],
)
def test_what_can_not_be_right_is_refused_and_the_file_stays(red: Told, words: tuple[str, ...], why: str) -> None:
    before = red.file().read_bytes()
    code, _, notes = red(*words)
    assert (code, why in notes) == ((2, True) if why else (0, True)), notes
    assert (red.file().read_bytes() == before) == bool(why)


def test_two_files_with_one_id_are_told_with_both_names(red: Told) -> None:
    red.file("other").write_bytes(red.file().read_bytes())
    code, out, notes = red("list")
    assert (code, out.count("red-car: Red car"), notes.count("has the id 'red-car' too")) == (2, 0, 2)
    assert str(red.file()) in notes and str(red.file("other")) in notes
    red.file("other").unlink()
    code, out, _ = red("list")
    assert (code, out.count(f"red-car: Red car ({red.file()})")) == (0, 1)


def test_the_files_of_the_program_are_never_touched(red: Told) -> None:
    assert red.file().name not in {file.name for file in (data_folder("procedures") / "vehicles").iterdir()}
    assert not list((data_folder("procedures") / "vehicles").glob("*.old"))


# --- by voice ---

SPOKEN = ("the hatchback", "metric units", "a spin on filter", "open underneath", "leave that one out",
          "that is enough for now", "do not confirm the car", "confirm the car")  # fmt: skip


@pytest.mark.skipif(shutil.which("flite") is None, reason="flite is not installed")
def test_a_car_is_told_by_voice(told: Told) -> None:
    files = []
    for number, text in enumerate(SPOKEN):
        files.append(str(told.data / f"{number}.wav"))
        soundfile.write(files[-1], np.pad(say(text, "flite rms", told.data), (8000, 24000)), 16_000)
    code, out, notes = told("new", "--job", "oil-and-filter", "--json", "--sound", *files)
    assert code == 0, notes
    said = [json.loads(line)["say"] for line in out.splitlines()]
    assert "Then it is not written." in said[-2]
    assert said[-1].startswith("It is written.")
    car = Library(told.data / "procedures").vehicle("hatchback")
    assert (car.title, car.units, car.tags, car.values) == ("The hatchback", "metric", ("filter:spin-on",), {})
