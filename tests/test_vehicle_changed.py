"""A vehicle's file that was mended while a job was unfinished: it is told, and the owner chooses. Invented cars."""

from __future__ import annotations

import json
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest

from assistant import wiring
from assistant.commands import cli
from assistant.core.data.vehicle import Vehicle
from assistant.core.job import events as e
from assistant.core.job.engine import decide
from assistant.core.job.state import State, evolve, fold, opening
from assistant.core.job.vehicle_file import with_new_values
from assistant.core.proof.book import Book, noted
from assistant.core.proof.promises import broken_by, broken_in
from assistant.core.quantities.units import amount
from assistant.core.types import Intent
from assistant.path.turn import meant
from tests.chance import turns
from tests.short_job import write_short_job
from tests.talk import WHOLE, Talk

UP_TO_IT = "next step\nnext step\nnext step\n"
TIGHTENED = "twenty five newton metres\nconfirm drain plug\n"


class Owner:
    """Types lines to the program, and writes the file of the red car."""

    def __init__(self, data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.data, self._monkeypatch, self._capsys = data, monkeypatch, capsys
        self.notes = ""
        write_short_job(data)
        self.file = data / "procedures" / "vehicles" / "red-car.yaml"
        self._without = self.file.read_text(encoding="utf-8")

    def write(self, torque: str) -> None:
        values = f"values: {{plug-torque: {{value: {torque}, source: the invented manual}}}}\n" if torque else ""
        self.file.write_text(self._without + values, encoding="utf-8")

    def run(self, typed: str, *words: str) -> list[dict[str, Any]]:
        lines = self.data / "lines.txt"
        lines.write_text(typed, encoding="utf-8")
        with lines.open(encoding="utf-8") as opened:
            self._monkeypatch.setattr("sys.stdin", opened)
            cli.main(["run", *words, "--typed", "--json", "--data", str(self.data)])
        shown = self._capsys.readouterr()
        self.notes = shown.err
        return [json.loads(line) for line in shown.out.splitlines()]

    def begin(self, typed: str) -> None:
        self.run(typed, "short", "--vehicle", "red-car")

    def resume(self, typed: str = "") -> list[dict[str, Any]]:
        return self.run(typed, "--resume")

    def state(self) -> State:
        """Return the state that the journal tells."""
        store = wiring.journal(self.data)
        [name] = store.jobs()
        state = fold(store.read(name))
        store.close()
        return state


@pytest.fixture
def owner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Owner:
    return Owner(tmp_path, monkeypatch, capsys)


ASKED = (
    "The vehicle's file has changed since this job began. Drain plug torque, now thirty, newton metres, three zero, "
    "before twenty-five, newton metres. Say: confirm the new values. Or: keep the old values."
)


def test_new_values_are_told_and_taken_once_they_are_confirmed_by_name(owner: Owner) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT)
    owner.write("30 N·m")
    first, refused, taken = owner.resume("next step\nconfirm the new values\n")
    assert first["say"].endswith(ASKED)
    assert "plug-torque: 25 N·m when the job began, 30 N·m now" in owner.notes
    assert "has to be confirmed" in refused["say"]
    assert taken["say"].startswith(
        "Noted: from now on the new values. Tighten it to thirty, newton metres, three zero."
    )
    assert owner.state().vehicle.values["plug-torque"].value == amount("30 N·m")
    [again] = owner.resume()
    assert "has changed" not in again["say"] + owner.notes
    assert "Tighten it to thirty" in again["say"]


@pytest.mark.parametrize("words", ["keep the old values", "that was wrong", "do not confirm the new values"])
def test_the_old_values_stay_where_the_owner_says_so_and_it_is_asked_once(owner: Owner, words: str) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT)
    owner.write("30 N·m")
    kept = owner.resume(f"{words}\n")[-1]
    assert "I keep the old values." in kept["say"]
    assert "Tighten it to twenty-five" in kept["say"]
    assert "has changed since" not in owner.resume()[0]["say"]
    owner.write("31 N·m")
    assert "now thirty-one" in owner.resume()[0]["say"]
    owner.write("25 N·m")
    [again] = owner.resume()
    assert "has changed since" not in again["say"]
    assert "Tighten it to twenty-five" in again["say"]


CHANGES_THEIR_MIND = "confirm the new values\nthat was wrong\nkeep the old values\nI made a mistake\n"


def test_what_was_chosen_can_be_taken_back_and_is_asked_again(owner: Owner) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT)
    owner.write("30 N·m")
    said = [
        one["say"]
        for one in owner.resume("confirm the new values\nthat was wrong\nkeep the old values\nI made a mistake\n")
    ]
    assert said[2].startswith("Taken back: the new values. The vehicle's file has changed")
    assert "I keep the old values." in said[3]
    assert said[4].endswith(ASKED)
    assert owner.state().vehicle.values["plug-torque"].value == amount("25 N·m")


def test_a_part_that_was_tightened_by_the_old_value_stays_so_in_the_journal_and_is_tightened_anew(owner: Owner) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT + TIGHTENED)
    owner.write("30 N·m")
    said = owner.resume("confirm the new values\n")[-1]
    assert "The drain plug was tightened to twenty-five, newton metres. Tighten it anew." in said["say"]
    assert (said["step"], said["open"]) == ("tighten", ["plug"])
    store = wiring.journal(owner.data)
    given = [row.event for row in store.read(store.jobs()[0], e.TorqueGiven)]
    store.close()
    assert given == [e.TorqueGiven("plug", amount("25 N·m"))]
    done = owner.resume("thirty newton metres\nconfirm drain plug\nnext step\n")[-1]
    assert done["waiting_for"] == "finished"


def test_a_value_that_the_file_holds_no_longer_is_asked_for(owner: Owner) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT)
    owner.write("")
    first, taken = owner.resume("confirm the new values\n")
    assert "Drain plug torque, now missing, before twenty-five, newton metres." in first["say"]
    assert "I do not know the drain plug torque." in taken["say"]


@pytest.mark.parametrize("torque", ["300 N·m", "30", "30 L"])
def test_a_file_that_is_wrong_by_now_is_said_and_the_old_values_stay(owner: Owner, torque: str) -> None:
    owner.write("25 N·m")
    owner.begin(UP_TO_IT)
    owner.write(torque)
    [first] = owner.resume()
    assert first["say"].startswith("The vehicle's file is wrong now. I keep the old values. See the screen.")
    assert "Tighten it to twenty-five" in first["say"]
    assert "plug-torque" in owner.notes


def test_how_the_car_is_built_counts_in_a_new_job(owner: Owner) -> None:
    owner.begin(UP_TO_IT)
    owner.file.write_text(f"{owner.file.read_text(encoding='utf-8')}tags: [tray:fitted]\n", encoding="utf-8")
    assert "says otherwise how the car is built. That counts in a new job." in owner.resume()[0]["say"]


def other(car: Vehicle, **values: str) -> Vehicle:
    changed = {name: car.values[name].model_copy(update={"value": amount(text)}) for name, text in values.items()}
    return car.model_copy(update={"values": {**car.values, **changed}})


def test_wherever_new_values_are_taken_no_promise_is_broken(talk: Talk) -> None:
    """From each place the talk goes on by chance, mostly forward, with more oil or with less, and another torque."""
    talk.say(WHOLE)
    whole = [list(facts) for _, facts in groupby(talk.journal.read(talk.desk.job), key=lambda row: row.at)]
    car = talk.state.vehicle
    cars = [other(car, **{"oil-capacity": capacity, "drain-plug-torque": "40 N·m"}) for capacity in ("3.6 L", "5.5 L")]
    confirmed = Intent("confirm", "confirm the new values", option="the new values")
    for kept in range(1, len(whole), 7):
        first, *rest = (row for turn in whole[:kept] for row in turn)
        assert isinstance(first.event, e.JobOpened)
        state, book, at = opening(first.event, first.at), Book(), first.at
        for row in rest:
            state, book, _ = told(state, book, (row.event,))
        state, book, _ = told(state, book, (e.VehicleOffered(cars[kept % 2]),))
        for turn in (lambda state: Intent("go-on"), lambda state: confirmed, *turns(state.procedure, kept, 80)):
            intent = turn(state)
            if isinstance(intent, Intent):
                state, book, broken = told(state, book, decide(state, intent, at))
                assert broken == [], (kept, intent, state.step)
            if state.finished_at:
                break


def told(state: State, book: Book, events: tuple[e.Event, ...]) -> tuple[State, Book, list[str]]:
    broken: list[str] = []
    for event in events:
        broken += broken_by(state, book, event)
        book, state = noted(state, book, event), evolve(state, event, state.opened_at)
    return state, book, [*broken, *broken_in(state, book)]


def test_somebody_who_may_be_in_danger_is_asked_about_the_car_first(talk: Talk) -> None:
    """Values can wait: what stands against the step goes before them."""
    talk.say(WHOLE.split(" / nothing at all")[0])
    talk.desk.state = evolve(talk.state, e.StepEntered("plug-look"), talk.clock.now())
    assert "engine-running" in talk.state.possible
    car = talk.state.vehicle
    talk.desk.state = evolve(
        talk.state, e.VehicleOffered(with_new_values(car, other(car, mass="1400 kg"))), talk.clock.now()
    )
    meant(talk.desk, Intent("go-on"))
    assert talk.waiting == "condition:engine-running"
