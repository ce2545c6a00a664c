"""The command `vehicle new`: asks an owner for their car, by voice or typed, and writes its file. Prints nothing.

What was said is on disk before the next question is asked: whoever is interrupted carries on.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from assistant import wiring
from assistant.commands.run import Run
from assistant.core.car_talk import words
from assistant.core.car_talk.given import REPLACE, Given, Ground, Talk, Topic, asked, car
from assistant.core.car_talk.keeping import restored, rows_of
from assistant.core.car_talk.phrases import allowed
from assistant.core.car_talk.taking import take
from assistant.core.car_talk.typed_answers import typed_intent
from assistant.core.car_talk.wanted import readiness
from assistant.core.errors import DataError, DeviceError, ReadingError
from assistant.core.hearing.verdict.found import Match
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.types import Hypothesis, Intent, Phrase, Verdict
from assistant.path.ears import Ears
from assistant.shelf import Note, all_told
from assistant.system.ending import KEPT_CAR

AGAIN_AFTER, PATIENCE = 20.0, 300.0
"""After how long without an answer it is asked once more, and after how long it is put aside [second]."""
HELP = (
    "Answer, or say: repeat that. Go back one step. Leave that one out. That is enough for now. Or: put the car aside."
)
UNHEARD = "I did not hear that."
NOISE = "There is too much noise."
DIGITS = "I am not sure of the number. Say its digits one by one, with the unit."
NOT_HERE = "I don't understand that here."
WEIGHS = frozenset({"value", "confirm", "option", "anew", "wrong", "enough"})
"""Intents that are not believed in noise."""


@dataclass(slots=True)
class NewVehicle:
    """One talk about a car, with what stands behind it."""

    options: argparse.Namespace
    data: Path
    show: Callable[[str], None]
    note: Note
    run: Run = field(init=False)
    """Lends its ears, its mouth and its lines."""
    talk: Talk = field(init=False)
    phrases: tuple[Phrase, ...] = ()
    read: tuple[Given, ...] = ()
    """What was read back as a whole: it is read again only where it is asked for, or changed."""
    ears: Ears = field(init=False)

    def __post_init__(self) -> None:
        """Begin with what was kept, or with nothing."""
        self.run = Run(self.options, self.data, self.show, self.note)
        self.talk = self._begun()

    def _begun(self) -> Talk:
        shelf = wiring.library(self.data)
        jobs = shelf.jobs(lambda error: self.note(f"left out: {error}"))
        told = all_told(wiring.journal(self.data), self.note) if (self.data / wiring.JOURNAL).exists() else ()
        cars = {car.id for car in shelf.vehicles(lambda error: self.note(f"left out: {error}"))}
        taken = frozenset({*cars, *(file.stem for file in shelf.vehicle_files()), *(one.vehicle for one in told)})
        day = f"{wiring.SystemClock().now():%Y-%m-%d}"
        talk = Talk(Ground.of(jobs, taken, shelf.tables(), day))
        kept = self._kept(talk.ground)
        if chosen := [shelf.job(name).id for name in self.options.job]:
            if kept:
                self.note("note: a talk is taken up: its jobs stay as they are; begin anew to choose others")
            talk = talk.with_given(Given(Topic.JOBS, what=" ".join(chosen)))
        return Talk(talk.ground, talk.given, kept)

    def _kept(self, ground: Ground) -> tuple[Given, ...]:
        try:
            return restored(ground, wiring.kept_answers(self.data))
        except DataError as error:
            self.note(f"note: {error}")
            return ()

    # --- the talk ---

    def go(self) -> int:
        """Hold the talk, and return the exit code."""
        shelf = wiring.library(self.data)
        book = wiring.phrasebook(shelf.rules(), self.data, wiring.known_user(self.data, self.options.user))
        self.ears = Ears(book)
        try:
            self._give_voice()
            for job in self.talk.ground.jobs if asked(self.talk).topic is Topic.JOBS else ():
                self.note(f"{job.id}: {job.title}")
            self._ask("")
            for intent, said in self._said():
                if intent and intent.name == "park":
                    break
                if self._taken(intent, said):
                    return self._write()
            self.note(KEPT_CAR if self.talk.given or self.talk.kept else "Nothing was told.")
            return 0
        finally:
            self.ears.close()
            self.run.mouth.close()

    def _give_voice(self) -> None:
        """Open ears and mouth; without a microphone, go on by typed lines."""
        try:
            if not self.options.typed and self.options.sound is None:
                wiring.source(None, self.options.microphone).close()
            self.run.give_voice(self.ears)
        except DeviceError as fault:
            if self.options.sound:
                raise
            self.note(f"note: {fault}. Type your answers")
            self.options.typed = True
            self.ears.engines = ()
            self.run = Run(self.options, self.data, self.show, self.note)

    def _ask(self, before: str) -> None:
        """Ask what is asked now, after what is said of the last answer."""
        shelf = wiring.library(self.data)
        self.phrases = allowed(self.talk, shelf.phrases(), shelf.rules())
        question = words.question(self.talk, typed=self.options.typed)
        if asked(self.talk).topic is Topic.WHOLE:
            if before and self.read == self.talk.given:
                question = words.CONFIRM
            self.read = self.talk.given
        self.run.ask(f"{before} {question}".strip())

    def _taken(self, intent: Intent | None, said: str) -> bool:
        """Take what was said, keep it, and ask on; return whether all is told and confirmed."""
        if intent:
            before, (self.talk, said) = self.talk, take(self.talk, intent)
            if self.talk != before and not self.talk.kept:
                wiring.keep_answers(self.data, rows_of(self.talk.given))
        if self.talk.done:
            return True
        self._ask(said)
        return False

    def _said(self) -> Iterator[tuple[Intent | None, str]]:
        """Yield each intent, or what to say of what is none."""
        if self.options.typed:
            for _, line in self.run.lines:
                yield self._typed(line)
            return
        waited, again = 0.0, False
        for match, seconds in self.run.answers(self.ears, lambda: self.phrases):
            waited += seconds
            if match and match.verdict is not Verdict.NOT_FOR_ME:
                waited, again = 0.0, False
                yield self._heard(match)
            elif waited > PATIENCE:
                return
            elif waited > AGAIN_AFTER and not again:
                again = True
                yield None, ""

    def _heard(self, match: Match) -> tuple[Intent | None, str]:
        """Return what a match means; what is in doubt is asked again."""
        try:
            found = understand(match, self._system())
        except ReadingError as error:
            return None, error.say
        intent = found.intent
        if match.verdict is not Verdict.ACCEPTED or not intent:
            return None, DIGITS if intent and intent.name == "value" else UNHEARD
        if match.noisy and intent.name in WEIGHS:
            return None, NOISE
        if intent.name == "repeat":
            return None, ""
        return (None, HELP) if intent.name == "help" else (intent, "")

    def _typed(self, line: str) -> tuple[Intent | None, str]:
        """Return what a typed line means: a phrase, or else a name, an amount in figures, a source."""
        match = self.ears.read(Hypothesis(line, 0.0, "typed"), self.phrases)
        named = match.best is not None and match.best.phrase.intent == "name"
        try:
            if match.verdict is Verdict.ACCEPTED and not named:
                return self._heard(match)
            intent = typed_intent(self.talk, line)
        except ReadingError as error:
            return None, error.say
        return (intent, "") if intent else (None, NOT_HERE)

    def _system(self) -> str:
        return self.talk.what(Topic.UNITS) or "metric"

    # --- the end ---

    def _write(self) -> int:
        """Write the file, and say what it is good for."""
        vehicle, ground = car(self.talk), self.talk.ground
        replace = any(one.topic is Topic.TAKEN and one.what == REPLACE for one in self.talk.given)
        with wiring.alone_at_vehicles(self.data, "vehicles", 10.0):
            file = wiring.write_vehicle(self.data, vehicle, replace=replace)
        wiring.forget_answers(self.data)
        found = [readiness(job, vehicle, {}, ground.tables) for job in self.talk.jobs]
        self.run.ask(f"It is written. {words.ready_aloud(found)}")
        for one in found:
            self.note(words.ready(one))
        self.note(f"file: {file}")
        self.note(f'name it, or put a value right: assistant vehicle set {vehicle.id} title "NAME"')
        return 0
