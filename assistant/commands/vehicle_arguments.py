"""The words of the command `vehicle`. Prints nothing and runs nothing."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TypeAlias

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def add_vehicle(commands: Commands) -> None:
    """Add the command with its actions."""
    parser = commands.add_parser("vehicle", help="describe your own car by question and answer; show it, put it right")
    actions = parser.add_subparsers(required=True, metavar="ACTION", dest="action")
    for add in (_add_new, _add_list, _add_show, _add_set, _add_forget):
        one = add(actions)
        one.add_argument("--data", type=Path, metavar="DIR", help="where journals and history live")
        one.set_defaults(command="vehicle")


def _add_new(actions: Commands) -> argparse.ArgumentParser:
    parser = actions.add_parser("new", help="tell it your car, by voice or typed; what was broken off is taken up")
    parser.add_argument("--job", nargs="+", default=(), metavar="JOB", help="the jobs that it is to be ready for")
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--typed", action="store_true", help="read one answer a line from standard input")
    how.add_argument("--sound", type=Path, nargs="+", metavar="FILE", help="hear sound files instead of the microphone")
    parser.add_argument("--microphone", metavar="NAME", help="which microphone to open")
    parser.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker to open")
    parser.add_argument("--user", metavar="NAME", help="whose voice it is, as kept by: assistant tune")
    parser.add_argument("--speech-file", type=Path, metavar="FILE", help="write what is said to a WAV or FLAC file")
    parser.add_argument("--silent", action="store_true", help="show the questions and do not speak them")
    parser.add_argument("--json", action="store_true", help="one JSON object a line for each question")
    parser.set_defaults(headset=False)
    return parser


def _add_list(actions: Commands) -> argparse.ArgumentParser:
    parser = actions.add_parser("list", help="all vehicles, with their files")
    parser.add_argument("--json", action="store_true", help="a list of objects with id, title and file")
    return parser


def _add_show(actions: Commands) -> argparse.ArgumentParser:
    parser = actions.add_parser("show", help="read a vehicle back: values, sources, what is missing for which job")
    parser.add_argument("vehicle", nargs="?", metavar="VEHICLE", help="id or file; without it, your only one")
    parser.add_argument("--job", metavar="JOB", help="only what this job needs")
    parser.add_argument("--json", action="store_true", help="one object")
    return parser


def _add_set(actions: Commands) -> argparse.ArgumentParser:
    parser = actions.add_parser(
        "set",
        help="put a value, a note, a tag, the title or the units of a vehicle right; comments and order stay",
        epilog='for instance: assistant vehicle set my-car drain-plug-torque "30 N·m" --source "manual, page 12"',
    )
    parser.add_argument("vehicle", metavar="VEHICLE", help="id or file of a vehicle")
    parser.add_argument("name", metavar="NAME", help="of a value, note or tag; title, about or units")
    parser.add_argument("value", nargs="?", metavar="VALUE", help="an amount with its unit, or words; none for a tag")
    parser.add_argument("--source", metavar="WHERE", help="where it stands, for instance: service manual, page 12")
    parser.add_argument("--thread", metavar="THREAD", help="of a torque: the thread of its bolt, for instance M14x1.5")
    parser.add_argument("--strength", metavar="CLASS", help="of a torque: the class of its bolt (8.8)")
    parser.add_argument("--json", action="store_true", help="one object with what stands there now")
    return parser


def _add_forget(actions: Commands) -> argparse.ArgumentParser:
    parser = actions.add_parser("forget", help="take a value, a note or a tag out of a vehicle's file")
    parser.add_argument("vehicle", metavar="VEHICLE", help="id or file of a vehicle")
    parser.add_argument("name", metavar="NAME", help="of a value, a note, or a tag")
    parser.add_argument("--json", action="store_true", help="one object with what was taken out")
    return parser
