"""The command `run`: does a job, or takes one up. Prints nothing by itself: it is given what shows and what notes."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from assistant import wiring
from assistant.commands import alarm
from assistant.commands.choosing import URGENT, Choice, choose
from assistant.commands.vehicle_by_now import file_by_now
from assistant.core.errors import AssistantError, DataError, DeviceError
from assistant.core.hearing.verdict.attention import call_phrase
from assistant.core.hearing.verdict.found import Match
from assistant.core.job.conditions import may_be_under
from assistant.core.job.simulated_time import seconds_of
from assistant.core.job.which_job import MOST, phrases
from assistant.core.reply.may_say import may_say, of_phrases, record_of
from assistant.core.reply.showing import left, summary_lines, turn_lines, turn_record
from assistant.core.types import RATE, Hypothesis, Intent, Phrase, Reply, Tone, Verdict
from assistant.path.desk import Desk, Turn
from assistant.path.ears import Ears
from assistant.path.hearing import heard
from assistant.path.listening import listen
from assistant.path.mouth import Mouth
from assistant.path.replying import speak
from assistant.path.stream import Stream
from assistant.path.turn import let_calls_end, let_time_pass, meant, opening, time_passes
from assistant.path.typed import lines_of
from assistant.ports import Clock, Journal, SoundSource
from assistant.shelf import Job, Note, compare, offer_of, offered, once, readable, take_up, the_one
from assistant.system.ending import FAILED, KEPT, OutputLost, Stopped

GOODBYE = "I am being switched off, and hear you no more. Nothing is lost. Come out from under the car."


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Do the job that the options name, and return the exit code."""
    return Run(options, data, show, note).go()


@dataclass(slots=True)
class Run:
    """One run of the command, with what it was asked for and what it goes by."""

    options: argparse.Namespace
    data: Path
    show: Callable[[str], None]
    note: Note
    mouth: Mouth = field(default_factory=Mouth)
    sounds: list[Path] = field(init=False)
    """The sound files that were not yet heard."""
    lines: Iterator[tuple[str, str]] = field(init=False)
    """The lines that were not yet read, each with its place."""
    urgent: str = ""
    """What somebody called for before there was a job."""
    asked: bool = False
    """Whether something was just asked aloud, so that the microphone heard it."""

    def __post_init__(self) -> None:
        """Begin at the first sound file and the first line."""
        self.sounds = list(self.options.sound or ())
        self.lines = lines_of(sys.stdin) if self.options.typed else iter(())

    def go(self) -> int:
        """Do the job, and return the exit code."""
        for file in self.sounds:
            if fault := wiring.sound_fault(file):
                raise DataError(f"{file}: {fault}")
        options = self.options
        call = call_phrase(options.attention) if options.attention is not None else None
        recorded = options.sound is not None
        care = alarm.care(self.data, options.alarm, off=options.no_alarm, typed=options.typed, recorded=recorded)
        desk, first = self.begun()
        show = self.shower(desk)
        desk.call, desk.keeps_words = call, options.keep_words
        try:
            alarm.take_care(desk, care, self.note)
            show(first)
            speak(desk, first.reply)
            if self.urgent:
                show(meant(desk, Intent(self.urgent)))
            for turn in self.turns(desk):
                show(turn)
                if turn.state.finished_at:
                    break
            return self.end(desk)
        except Stopped:
            say_goodbye(desk)
            raise
        finally:
            wiring.close(desk)

    # --- which job ---

    def begun(self) -> tuple[Desk, Turn]:
        """Return a desk with the wanted job on it, and its first turn; what keeps it from beginning is said aloud."""
        note, shelf = once(self.note), wiring.library(self.data)
        store = wiring.keeping(self.data, note)
        ears = Ears(wiring.phrasebook(shelf.rules(), self.data, wiring.known_user(self.data, self.options.user)))
        try:
            if not (self.options.job and not self.options.resume):
                jobs = self.wanted(store, note)
                self.give_voice(ears)
                return self.taken_up(store, ears, jobs, note)
            desk, first = self.new(store, ears, note)
            self.give_voice(ears)
        except BaseException as error:
            self.fail(error)
            store.close()
            ears.close()
            self.mouth.close()
            raise
        desk.mouth = self.mouth
        return desk, first

    def fail(self, error: BaseException) -> None:
        """Say aloud what keeps a job from beginning: who can't see the screen would wait for a voice."""
        if not isinstance(error, DeviceError):
            return
        if not self.mouth.speech:
            self.let_speak()
        self.mouth.say(Reply(error.say, error.say, Tone.WARN), last=True)
        for fault in self.mouth.faults:
            self.note(f"note: {fault}")

    def new(self, store: Journal, ears: Ears, note: Note) -> tuple[Desk, Turn]:
        """Begin a job."""
        shelf, clock = wiring.library(self.data), self.clock()
        procedure = shelf.job(self.options.job)
        if not self.options.vehicle:
            known = ", ".join(vehicle.id for vehicle in shelf.vehicles())
            raise DataError(f"say which vehicle, with --vehicle ID. There are: {known}.")
        with suppress(DeviceError):  # what stands in its way is told when the job is written
            for other in offered(store, note):
                self.note(f"note: another job is unfinished: {left(other.state, clock.now())}")
        job, rows = wiring.new_job(store, procedure, shelf.vehicle(self.options.vehicle, procedure), clock, note)
        desk = wiring.desk(job, store, clock, shelf, ears)
        return desk, opening(desk, rows)

    def wanted(self, store: Journal, note: Note) -> list[Job]:
        """Return the unfinished jobs that are meant, the one heard last first; DataError where none is."""
        shelf, options = wiring.library(self.data), self.options
        if isinstance(options.resume, str):
            return [the_one(readable(store, note, finished=False), options.resume)]
        procedure = shelf.job(options.job).id if options.job else None
        vehicle = shelf.vehicle(options.vehicle).id if options.vehicle else None
        jobs = [
            job
            for job in offered(store, note)
            if procedure in (None, job.state.procedure.id) and vehicle in (None, job.state.vehicle.id)
        ]
        if not jobs:
            of = " of that kind" if procedure or vehicle else ""
            known = ", ".join(job.id for job in shelf.jobs())
            raise DataError(
                f"there is no unfinished job{of}. Begin one: assistant run JOB --vehicle VEHICLE. Jobs: {known}."
            )
        return jobs

    def taken_up(self, store: Journal, ears: Ears, jobs: Sequence[Job], note: Note) -> tuple[Desk, Turn]:
        """Take up the one job that is meant: that of the command, or the one that somebody calls."""
        shelf, clock = wiring.library(self.data), self.clock()
        called = len(jobs) > 1 and not self.options.resume
        choice = self.called(ears, jobs) if called else Choice(jobs[0].name)
        self.urgent, name = choice.urgent, choice.name
        for other in jobs[1:] if self.options.resume else ():
            self.note(f"note: another job is unfinished: {other.name}: {left(other.state, clock.now())}")
        found = take_up(store, name, clock, note)
        by_now = file_by_now(self.data, found, self.options.vehicle, note)
        found = compare(store, found, by_now.car, clock) if by_now.car else found
        ears.warnings += by_now.warnings
        desk = wiring.desk(found, store, clock, shelf, ears)
        desk.mouth = self.mouth
        if self.options.resume or called:
            return desk, meant(desk, Intent("go-on"))
        self.note(f"unfinished: {left(found.state, clock.now())}")
        return desk, meant(desk, Intent("park"))

    def called(self, ears: Ears, jobs: Sequence[Job]) -> Choice:
        """Ask which job to take up; DataError where nobody says it."""
        offers = [offer_of(job) for job in jobs]
        now = self.clock().now()
        for job in jobs:
            self.note(f"unfinished: {job.name}: {left(job.state, now)}")
        urgent = tuple(one for one in wiring.library(self.data).phrases() if one.intent in URGENT)
        own = (*phrases(offers[:MOST]), *urgent)
        choice = choose(offers, self.answers(ears, lambda: own), lambda text: self.ask(text, own))
        if choice is None:
            raise DataError(
                "nobody said which job. Name it: assistant run --resume NAME. List them with: assistant jobs"
            )
        return choice

    def ask(self, text: str, own: tuple[Phrase, ...] = ()) -> None:
        """Ask something before there is a job; `own` are the phrases that answer it, where there are some."""
        record = {"say": text, "may_say": [record_of(one) for one in of_phrases(own)]}
        self.show(json.dumps(record, ensure_ascii=False) if self.options.json else f"{text}\n")
        self.mouth.say(Reply(text, text, Tone.ASK), last=True)
        self.asked = True

    def answers(self, ears: Ears, own: Callable[[], Sequence[Phrase]]) -> Iterator[tuple[Match | None, float]]:
        """Yield what is understood before there is a job, and that time passes [second]."""
        if self.options.typed:
            for _, text in self.lines:
                match = ears.read(Hypothesis(text, 0.0, "typed"), own())
                yield match if match.verdict is Verdict.ACCEPTED else replace(match, verdict=Verdict.UNCLEAR), 0.0
            return
        while self.sounds or self.options.sound is None:
            file = self.sounds.pop(0) if self.sounds else None
            source = self.source(file)
            stream = Stream(ears, wiring.SileroVoice(), wiring.Segmenter())
            try:
                for block in source.blocks():
                    spoken = stream.push(block, own)
                    yield spoken.match if spoken else None, len(block) / RATE
                    if self.asked and self.mouth.audible:
                        source.forget()
                        stream.forget()
                    self.asked = False
                if spoken := stream.flush(own):
                    yield spoken.match, 0.0
            finally:
                source.close()

    # --- eyes, ears and voice ---

    def source(self, file: Path | None) -> SoundSource:
        """Return a sound file, or the microphone."""
        return wiring.source(file, None) if file else wiring.kept_microphone(self.options.microphone)

    def clock(self) -> Clock:
        """Return the clock of the job: time passes with the sound of files, and may be moved in typed lines."""
        if self.options.sound:
            return wiring.MovableClock(wiring.SystemClock().now())
        return wiring.ShiftedClock() if self.options.typed else wiring.SystemClock()

    def shower(self, desk: Desk) -> Callable[[Turn], None]:
        """Return what shows a turn."""
        put = shown(desk, self.show, self.note)

        def show(turn: Turn) -> None:
            while desk.ears.faults:
                self.note(f"note: {desk.ears.faults.pop(0)}")
            if self.options.json:
                sayable = may_say(turn.state, desk.phrases, desk.call.says if desk.call else "")
                now = desk.clock.now()
                record = turn_record(turn.understanding, turn.recorded, turn.state, turn.reply, now, sayable)
                put(json.dumps(record, ensure_ascii=False))
            else:
                put("\n".join([*turn_lines(turn.understanding, turn.recorded, turn.reply), ""]))

        return show

    def give_voice(self, ears: Ears) -> None:
        """Give ears and mouth what they need, as far as it is asked for and there is any."""
        if not self.options.typed:
            ears.engines = wiring.recognisers(self.data, self.note)
            if not self.options.sound:
                ears.waited_for = True
                ears.watch()
        self.mouth.headset = self.options.headset
        self.let_speak()

    def let_speak(self) -> None:
        """Give the mouth voices, if one is asked for and there is one."""
        options, mouth = self.options, self.mouth
        if options.silent or (options.typed and not options.speech_file):
            return
        if options.sound and not options.speech_file and not options.loudspeaker:
            return
        mouth.player = wiring.player(options.speech_file, options.loudspeaker, self.note)
        mouth.speech, mouth.others = wiring.speech(), wiring.other_voices()
        if not options.speech_file:
            mouth.open_player = lambda: wiring.open_loudspeaker(options.loudspeaker)
            if not mouth.player:
                mouth.find_player()

    # --- the talk ---

    def turns(self, desk: Desk) -> Iterator[Turn]:
        """Yield the turns of the talk."""
        if self.options.typed:
            yield from self.typed(desk)
            return
        voice, segmenter = wiring.SileroVoice(), wiring.Segmenter()
        for file in self.sounds if self.options.sound else (None,):
            source = self.source(file)
            heard_any = False
            try:
                for turn in listen(desk, source, voice, segmenter):
                    heard_any = heard_any or turn.understanding is not None
                    yield turn
            finally:
                source.close()
            if file and not heard_any:
                raise DataError(f"{file}: no speech was found in it. Record it again, closer to the microphone.")

    def typed(self, desk: Desk) -> Iterator[Turn]:
        """Read utterances from standard input; a line such as `@ +10m` lets minutes pass.

        Calls for help take real time: what came of one is told at the next line, or waited for after the last.
        """
        try:
            for place, text in self.lines:
                if text.startswith("@"):
                    yield from let_time_pass(desk, seconds_of(text, place))
                else:
                    if due := time_passes(desk):
                        yield due
                    yield heard(desk, Hypothesis(text, 0.0, "typed"))
        except DataError as error:
            raise DataError(f"{error}. {KEPT}") from error
        yield from let_calls_end(desk)

    def end(self, desk: Desk) -> int:
        """Write the report of a finished job, or say how to go on with an unfinished one."""
        now = desk.clock.now()
        if not desk.state.finished_at:
            if desk.journal.behind:
                self.note(f"Not finished: {left(desk.state, now)}.")
                return FAILED
            self.note(f"Not finished: {left(desk.state, now)}. It is kept. Go on with: assistant run --resume")
            return 0
        report, calendar = wiring.write_report(desk, self.data), wiring.write_reminder(desk, self.data)
        if not self.options.json:
            done = [*summary_lines(desk.state, now), f"journal: {desk.journal.where}", f"report: {report}"]
            self.show("\n".join(done))
            if calendar:
                self.show(f"calendar: {calendar}")
        return FAILED if desk.journal.behind else 0


def say_goodbye(desk: Desk) -> None:
    """Tell who may be under the car that nobody listens any more."""
    if desk.mouth.player and may_be_under(desk.state):
        with suppress(AssistantError):
            said = GOODBYE.replace(" Nothing is lost.", "") if desk.journal.behind else GOODBYE
            desk.mouth.say(Reply(said, said, Tone.WARN), last=True)


def shown(desk: Desk, show: Callable[[str], None], note: Note) -> Callable[[str], None]:
    """Return what shows a text; where that fails the job goes on by voice, if there is one: somebody may rely on it."""
    lost: list[OutputLost] = []

    def put(text: str) -> None:
        try:
            if not lost:
                show(text)
        except OutputLost as error:
            if not desk.mouth.player:
                raise
            lost.append(error)
            note(f"note: the output can't be written ({error}); the job goes on by voice")

    return put
