"""The words of the command line: what each command takes. Prints nothing and runs nothing."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any, TypeAlias

from assistant import __version__
from assistant.commands.vehicle_arguments import add_vehicle
from assistant.core.data.program_words import words
from assistant.core.errors import DataError
from assistant.core.hearing.sound.pauses import LONG_END

SHORTEST_END, LONGEST_END = 0.1, 5.0
"""Silences that may end an utterance [second]."""

SCHEMAS = ("job", "group", "vehicle")
"""Kinds of files that have a schema. Named here, so that nothing is imported to read the words of a command."""
BACK = 3
"""How often in a row one goes back in a proof: further than that is left to chance."""

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


class _Parser(argparse.ArgumentParser):
    """Reads the words, and does not pass over it when its help can't be written."""

    def _print_message(self, message: str, file: Any = None) -> None:
        if file is not sys.stdout or not file:
            super()._print_message(message, file)
        else:
            file.write(message)
            file.flush()


def parser() -> argparse.ArgumentParser:
    """Return what reads the words of the command line; `command` is the name of the command."""
    whole: argparse.ArgumentParser = _Parser("assistant", description="A voice-guided, hands-free workshop assistant.")
    whole.add_argument("--version", action="version", version=__version__)
    commands = whole.add_subparsers(required=True, metavar="COMMAND")
    for add in (_add_demo, _add_run, _add_jobs, _add_alarm, _add_told, add_vehicle, _add_hear, _add_tune,
                _add_work_out, _add_list, _add_journal, _add_models, _add_check):  # fmt: skip
        add(commands)
    return whole


def _add_data(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--data", type=Path, metavar="DIR", help="where journals and history live")


def _add_demo(commands: Commands) -> None:
    parser = commands.add_parser("demo", help="a whole oil and filter change on an invented car, from recorded sound")
    parser.add_argument("--real-time", action="store_true", help="play it as it would sound")
    parser.add_argument("--out", type=Path, default=Path("demo-out"), metavar="DIR", help="where its files go")
    parser.add_argument("--json", action="store_true", help="one JSON object a line for each reply")
    parser.set_defaults(command="demo")


def _add_run(commands: Commands) -> None:
    parser = commands.add_parser("run", help="do a job; without one, go on with an unfinished one")
    parser.add_argument("job", nargs="?", metavar="JOB", help="for instance oil-and-filter")
    parser.add_argument("--vehicle", metavar="VEHICLE", help="id of a vehicle, or the path of its file")
    parser.add_argument("--resume", nargs="?", const=True, default=False, metavar="NAME",
                        help="take up the unfinished job heard last, or that of a name, without asking")  # fmt: skip
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--typed", action="store_true", help="read one utterance a line from standard input")
    how.add_argument("--sound", type=Path, nargs="+", metavar="FILE", help="hear sound files instead of the microphone")
    parser.add_argument("--microphone", metavar="NAME", help="which microphone to open")
    parser.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker to open")
    parser.add_argument("--user", metavar="NAME", help="whose voice it is, as kept by: assistant tune")
    parser.add_argument("--headset", action="store_true", help="listen while speaking: you may interrupt")
    parser.add_argument("--attention", metavar="WORDS", help="only listen when called, as with: hello workshop")
    parser.add_argument("--speech-file", type=Path, metavar="FILE", help="write what is said to a WAV or FLAC file")
    parser.add_argument("--keep-words", action="store_true",
                        help="keep in the journal what was not understood, or not meant for it")  # fmt: skip
    parser.add_argument("--silent", action="store_true", help="show the replies and do not speak them")
    calls = parser.add_mutually_exclusive_group()
    calls.add_argument("--alarm", type=_command, metavar="COMMAND", help="run this in an emergency; it is tried first")
    calls.add_argument("--no-alarm", action="store_true", help="call nobody in this run, whatever is set")
    parser.add_argument("--json", action="store_true", help="one JSON object a line for each reply")
    _add_data(parser)
    parser.set_defaults(command="run")


def _add_jobs(commands: Commands) -> None:
    parser = commands.add_parser(
        "jobs",
        help="list the unfinished jobs; name one, put one away, delete one",
        epilog='for instance: assistant jobs rename pickup "Friday\'s change"',
    )
    parser.add_argument("action", choices=("list", "show", "rename", "put-away", "delete"), nargs="?", default="list")
    parser.add_argument("job", nargs="?", metavar="NAME", help="the name of a job, or words that call it")
    parser.add_argument("name", nargs="?", metavar="NEW", help="with rename: what you call it; empty takes that away")
    parser.add_argument("--all", action="store_true", dest="every", help="those that are finished or put away, too")
    parser.add_argument("--yes", action="store_true", dest="sure", help="with delete: do not ask")
    parser.add_argument("--json", action="store_true", help="a list of objects, or the one that was changed")
    _add_data(parser)
    parser.set_defaults(command="jobs")


def _add_alarm(commands: Commands) -> None:
    parser = commands.add_parser(
        "alarm",
        help="show, set or try the command that is run when someone under the car needs help",
        description="The command gets one more word than you write: a sentence for whoever is called.",
        epilog='for instance: assistant alarm --set "/home/me/call.sh 0123"',
    )
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--set", type=_command, metavar="COMMAND", help="keep a command; no shell reads it")
    what.add_argument("--clear", action="store_true", help="forget the command")
    what.add_argument("--try", action="store_true", dest="attempt", help="run it now, as a trial")
    parser.add_argument(
        "--seconds", type=int, metavar="SECONDS", help="with --set: after how long it is ended (1 to 300, usually 30)"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object with what is set, or came of the trial")
    _add_data(parser)
    parser.set_defaults(command="alarm")


def _command(text: str) -> str:
    try:
        words(text)
    except DataError as error:
        raise argparse.ArgumentTypeError(str(error)) from error
    return text


def _add_told(commands: Commands) -> None:
    parser = commands.add_parser(
        "told",
        help="list the values that you told in jobs, put one right, or forget it",
        epilog='for instance: assistant told --vehicle my-car --name drain-plug-torque --set "30 N·m"',
    )
    parser.add_argument("--vehicle", metavar="VEHICLE", help="id of a vehicle, or the path of its file")
    parser.add_argument("--name", metavar="NAME", help="which value, as the list shows it")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--set", metavar="VALUE", help="believe this from now on, with its unit")
    what.add_argument("--forget", action="store_true", help="believe it no longer: the next job asks for it")
    parser.add_argument("--json", action="store_true", help="a list of objects, or the one that was set or forgotten")
    _add_data(parser)
    parser.set_defaults(command="told")


def _add_hear(commands: Commands) -> None:
    parser = commands.add_parser("hear", help="tell what is said in sound files, by a grammar or at a step of a job")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--grammar", type=Path, metavar="FILE", help="a JSGF file; its public rules may be said")
    what.add_argument("--job", metavar="JOB", help="what may be said in a job, at the step named with --step")
    parser.add_argument("--step", metavar="STEP", help="id of a step, as `assistant list steps --job JOB` shows it")
    parser.add_argument("--vehicle", metavar="VEHICLE", help="id or file of the vehicle that the job is done on")
    parser.add_argument("--engines", type=_names, default=(), metavar="A,B", help="which recognisers, by short name")
    parser.add_argument("--noise", type=Path, metavar="FILE", help="a sound file to mix in, with --snr")
    parser.add_argument("--snr", type=float, metavar="DB", help="how far the speech lies above the noise [decibel]")
    parser.add_argument("--seed", type=_seed, default=0, metavar="NUMBER",
                        help="by which a place in the noise is drawn for each file (0)")  # fmt: skip
    parser.add_argument(
        "--end-silence", type=_end_silence, default=LONG_END, metavar="SECONDS", help="silence that ends an utterance"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object a line for each utterance")
    parser.add_argument("files", type=Path, nargs="+", metavar="SOUND", help="WAV, FLAC or OGG files")
    _add_data(parser)
    parser.set_defaults(command="hear")


def _add_tune(commands: Commands) -> None:
    parser = commands.add_parser("tune", help="two minutes with a new user: measure the room, hear ten sentences")
    parser.add_argument("--user", default="me", metavar="NAME", help="for whom the result is kept")
    parser.add_argument("--sound", type=Path, nargs="+", default=(), metavar="FILE",
                        help="hear recordings: the room's silence first, then each sentence")  # fmt: skip
    parser.add_argument("--list", action="store_true", help="show the sentences, and end")
    parser.add_argument("--microphone", metavar="NAME", help="which microphone to open")
    parser.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker to open")
    parser.add_argument("--json", action="store_true", help="one JSON object with all that was measured")
    _add_data(parser)
    parser.set_defaults(command="tune")


def _add_work_out(commands: Commands) -> None:
    parser = commands.add_parser(
        "work-out",
        help="work something out: torque with an adapter, top-up, tyre pressure, ...",
        description="Work something out. Without values it shows what is needed, with an example.",
        epilog="for instance: assistant work-out convert value='25 N·m' to='lbf·ft'",
    )
    parser.add_argument("subject", nargs="?", metavar="SUBJECT", help="what to work out, as --list shows it")
    parser.add_argument("--list", action="store_true", help="show all that can be worked out")
    parser.add_argument(
        "given", nargs="*", type=_given, default=[], metavar="NAME=VALUE", help="for instance angle='90 °'"
    )
    parser.add_argument(
        "--units",
        choices=("metric", "imperial", "us"),
        help="your units: what a quart is, and in what the answer is given",
    )
    parser.add_argument("--calendar", type=Path, metavar="FILE", help="with next-due: write the day as an .ics file")
    parser.add_argument("--json", action="store_true", help="one JSON object; amounts exact, as texts")
    _add_data(parser)
    parser.set_defaults(command="work-out")


def _given(text: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name or not value:
        raise argparse.ArgumentTypeError(f"{text!r} is not of the form name=value, for instance lever='400 mm'")
    return name, value


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))


def _end_silence(text: str) -> float:
    seconds = float(text)
    if not SHORTEST_END <= seconds <= LONGEST_END:
        raise argparse.ArgumentTypeError(f"{text} is not from {SHORTEST_END:g} to {LONGEST_END:g} seconds")
    return seconds


def _seed(text: str) -> int:
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"{text} is no whole number from 0 on")
    return int(text)


def _add_list(commands: Commands) -> None:
    parser = commands.add_parser("list", help="show the jobs, the vehicles, or the steps of a job")
    parser.add_argument("what", choices=("jobs", "vehicles", "steps"))
    parser.add_argument("--job", metavar="JOB", help="whose steps to list")
    parser.add_argument("--json", action="store_true", help="a list of objects with id and title")
    _add_data(parser)
    parser.set_defaults(command="list")


def _add_journal(commands: Commands) -> None:
    parser = commands.add_parser("journal", help="list all jobs, or show the facts of one")
    parser.add_argument("job", nargs="?", metavar="NAME", help="the name of a job, as the list shows it")
    parser.add_argument("--job", dest="named", metavar="NAME", help="the same")
    parser.add_argument("--follow", action="store_true", help="show facts as they come; writes nothing")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    _add_data(parser)
    parser.set_defaults(command="journal")


def _add_models(commands: Commands) -> None:
    parser = commands.add_parser("models", help="show the models of the recognisers, fetch one, or pack one")
    parser.add_argument("action", choices=("list", "fetch", "pack"), nargs="?", default="list")
    parser.add_argument("model", nargs="?", metavar="MODEL", help="id of a model, as the list shows it")
    parser.add_argument("--from", dest="place", default="", metavar="PLACE",
                        help="with fetch: an address or a path, of the archive or its folder")  # fmt: skip
    parser.add_argument(
        "--out", dest="archive", type=Path, metavar="FILE", help="with pack: the archive to make (MODEL.zip)"
    )
    parser.add_argument("--json", action="store_true", help="a list of objects with id and title")
    _add_data(parser)
    parser.set_defaults(command="models")


def _add_check(commands: Commands) -> None:
    parser = commands.add_parser(
        "check",
        help="check files of jobs and vehicles before anybody works by them, or prove a job",
        description="Without FILES it checks all jobs and vehicles, with those of the data folder.",
        epilog="for instance: assistant check my-car.yaml",
    )
    parser.add_argument("files", nargs="*", metavar="FILE", help="a file, or the id of a job or a vehicle")
    parser.add_argument("--rules", action="store_true", help="list the rules, and end")
    parser.add_argument("--schema", choices=SCHEMAS, help="print the JSON Schema of such a file, and end")
    parser.add_argument("--prove", nargs="?", const="", metavar="JOB",
                        help="walk all states of a job, or of all, and hold each against the promises")  # fmt: skip
    parser.add_argument("--vehicle", metavar="VEHICLE", help="with --prove: id or file of the only vehicle")
    parser.add_argument("--back", type=_seed, default=BACK, metavar="TIMES",
                        help=f"with --prove: how often in a row one goes back ({BACK})")  # fmt: skip
    parser.add_argument("--loops", type=_seed, default=0, metavar="TIMES",
                        help="with --prove: how often a way leads to an earlier step (0)")  # fmt: skip
    parser.add_argument("--most", type=_seed, default=1_000_000, metavar="STATES",
                        help="with --prove: give up after so many states")  # fmt: skip
    parser.add_argument("--quiet", action="store_true", help="show faults alone: no warnings, no progress")
    parser.add_argument("--json", action="store_true", help="one JSON object; with --prove one a line")
    _add_data(parser)
    parser.set_defaults(command="check")
