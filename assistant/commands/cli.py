"""The command line: the only file that prints. Plain lines, one after the other; no colour, no moving cursor."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from assistant import wiring
from assistant.commands import alarm, demo, hear, job_list, run, told, tune
from assistant.commands.arguments import parser
from assistant.core.compute.base.showing_answers import answer_lines, answer_record, listing, listing_record, page
from assistant.core.compute.work_out import CALCULATIONS, calculation, work_out
from assistant.core.errors import AssistantError, DataError
from assistant.core.hearing.verdict.tuning import SENTENCES
from assistant.core.job.events import describe
from assistant.path.mouth import Mouth
from assistant.path.typed import lines_of
from assistant.ports import Journal
from assistant.shelf import follow, rows_of
from assistant.system.ending import FAILED, KEPT, STOPPED, USAGE, OutputLost, Stopped, keep_trace, put
from assistant.system.privacy import for_the_owner_alone

LOOK_AGAIN = 0.5
"""After how long a journal that is followed is looked at again [second]."""


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    options = parser().parse_args(arguments)
    with for_the_owner_alone():
        return _run_command(options)


def _run_command(options: argparse.Namespace) -> int:
    try:
        return _COMMANDS[options.command](options)
    except (KeyboardInterrupt, Stopped) as stopped:
        _note(f"Stopped. {_kept(options)}".strip())
        return stopped.code if isinstance(stopped, Stopped) else STOPPED
    except Exception as error:
        return _failed(error, options)


def _failed(error: Exception, options: argparse.Namespace) -> int:
    """Say in one line what ended the command, and return the exit code."""
    if isinstance(error, AssistantError):
        _note(f"error: {error}")
        return USAGE if isinstance(error, DataError) else FAILED
    if isinstance(error, OutputLost):
        _note(f"Stopped: the output can't be written ({error}). {_kept(options)}".strip())
    elif isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        _note(f"error: {where}{error.strerror or error}. {_kept(options) or 'Name another place'}")
    else:
        kept = keep_trace(_data(options), wiring.SystemClock().now())
        where = f" Where it failed stands in {kept}." if kept else ""
        _note(f"error: a fault of this program ({type(error).__name__}: {error}).{where} {_kept(options)}".strip())
    return FAILED


def _kept(options: argparse.Namespace) -> str:
    return KEPT if options.command == "run" else ""


def _note(text: str) -> None:
    with suppress(OutputLost):  # nobody is left to be told
        put(text, sys.stderr)


def _show(text: str) -> None:
    put(text, sys.stdout)


def _data(options: argparse.Namespace) -> Path:
    data = getattr(options, "data", None) or getattr(options, "out", None)
    return Path(data) if data else wiring.default_data()


# --- run -----------------------------------------------------------------------------------------------------------


def _run(options: argparse.Namespace) -> int:
    return run.Run(options, _data(options), _show, _note).go()


def _jobs(options: argparse.Namespace) -> int:
    asked = job_list.Request(options.action, options.job, options.name, options.every, options.sure)
    return job_list.job_list(_data(options), asked, as_json=options.json, show=_show, ask=_ask, note=_note)


def _ask(question: str) -> str:
    """Show a question where it is no part of the output, and return the answer; empty where nobody answers."""
    _note(question)
    return next((text for _, text in lines_of(sys.stdin)), "")


# --- demo ----------------------------------------------------------------------------------------------------------


def _demo(options: argparse.Namespace) -> int:
    def show(lines: Sequence[str]) -> None:
        _show("\n".join(lines))

    return demo.play(options.out, real_time=options.real_time, as_json=options.json, show=show, note=_note)


# --- alarm, told ---------------------------------------------------------------------------------------------------


def _alarm(options: argparse.Namespace) -> int:
    asked = alarm.Request(options.set, options.seconds, options.clear, options.attempt)
    return alarm.alarm(_data(options), asked, as_json=options.json, show=_show)


def _told(options: argparse.Namespace) -> int:
    asked = told.Request(options.vehicle, options.name, options.set, options.forget)
    return told.told(_data(options), asked, as_json=options.json, show=_show, note=_note)


# --- hear ----------------------------------------------------------------------------------------------------------


def _tune(options: argparse.Namespace) -> int:
    if options.list:
        _show(json.dumps(SENTENCES) if options.json else "\n".join(SENTENCES))
        return 0
    mouth = Mouth()
    if not options.sound:
        mouth.player = wiring.player(None, options.loudspeaker, _note)
        mouth.speech = wiring.speech() if mouth.player else None
    try:
        found = tune.tune(
            _data(options), options.user, options.sound, mouth, microphone=options.microphone, show=_note, note=_note
        )
    finally:
        mouth.close()
    if options.json:
        _show(json.dumps(found, ensure_ascii=False))
        return 0
    _show(f"{found['right']} of {len(SENTENCES)} sentences were heard right.")
    _show("\n".join(found["advice"]) or "All is well: nothing needs to be changed.")
    _show(f"kept for {found['user']}: {found['kept']}")
    return 0


def _hear(options: argparse.Namespace) -> int:
    if options.grammar:
        wanted = hear.by_grammar(options.grammar)
    elif options.step:
        wanted = hear.by_step(_data(options), options.job, options.step, options.vehicle)
    else:
        raise DataError(
            f"say at which step, with --step STEP. List them with: assistant list steps --job {options.job}"
        )
    way = hear.Way(options.end_silence, options.noise, options.snr, options.engines, options.seed)
    return hear.hear(options.files, wanted, way, _data(options), as_json=options.json, show=_show, note=_note)


# --- work-out ------------------------------------------------------------------------------------------------------


def _work_out(options: argparse.Namespace) -> int:
    if options.list or not options.subject:
        return _show_calculations(options)
    wanted, tables = calculation(options.subject), wiring.library(_data(options)).tables()
    if doubled := next((name for name, count in Counter(name for name, _ in options.given).items() if count > 1), None):
        raise DataError(f"{doubled} is given twice: give it once")
    given = dict(options.given)
    if options.calendar and wanted.name != "next-due":
        raise DataError("only next-due gives a day for a calendar: leave --calendar out")
    answer = work_out(wanted.name, given or wanted.example, tables, options.units)
    if options.calendar and given:
        _note(f"calendar: {wiring.write_due(answer, wiring.SystemClock().now(), options.calendar)}")
    if options.json:
        record = answer_record(wanted, answer) if given else listing_record(wanted)
        _show(json.dumps(record, ensure_ascii=False))
    else:
        _show("\n".join(answer_lines(answer) if given else page(wanted, answer)))
    return 0


def _show_calculations(options: argparse.Namespace) -> int:
    every = tuple(CALCULATIONS.values())
    _show(
        json.dumps([listing_record(each) for each in every], ensure_ascii=False)
        if options.json
        else "\n".join(listing(every))
    )
    return 0


# --- list, journal, models -----------------------------------------------------------------------------------------


def _list(options: argparse.Namespace) -> int:
    shelf = wiring.library(_data(options))
    if options.what == "steps":
        if not options.job:
            raise DataError(f"say whose steps, with --job JOB. Jobs: {', '.join(job.id for job in shelf.jobs())}.")
        return _show_items(options, shelf.job(options.job).steps)
    wrong: list[DataError] = []
    _show_items(options, (shelf.jobs if options.what == "jobs" else shelf.vehicles)(wrong.append))
    for error in wrong:
        _note(f"left out: {error}")
    return USAGE if wrong else 0


def _show_items(options: argparse.Namespace, items: Sequence[object]) -> int:
    pairs = [{"id": item.id, "title": item.title} for item in items]  # type: ignore[attr-defined]
    if options.json:
        _show(json.dumps(pairs, ensure_ascii=False))
    else:
        _show("\n".join(f"{pair['id']}: {pair['title']}" for pair in pairs))
    return 0


def _journal(options: argparse.Namespace) -> int:
    store, name = wiring.journal(_data(options), only_read=options.follow), options.job or options.named
    if options.follow and not name:
        raise DataError("say which job to follow, with --job NAME. List them with: assistant journal")
    return _show_facts(options, store, name) if name else _show_jobs(options, store)


def _show_jobs(options: argparse.Namespace, store: Journal) -> int:
    code = 0
    for name in store.jobs():
        if count := len(rows_of(store, name, _note)):
            _show(json.dumps({"id": name, "facts": count}) if options.json else f"{name}: {count} facts")
        code |= _note_damage(store, name)
    return code


def _note_damage(store: Journal, name: str) -> int:
    """Say what can't be believed of a job, and return the exit code."""
    damage = store.damage(name)
    if damage:
        _note(f"damaged: {damage}")
    return FAILED if damage else 0


def _show_facts(options: argparse.Namespace, store: Journal, name: str) -> int:
    rows = store.read(name)
    if not rows and not store.damage(name):
        raise DataError(f"there is no job {name!r} in {store.where}. List them with: assistant journal")
    for row in follow(store, name, lambda: time.sleep(LOOK_AGAIN)) if options.follow else rows:
        at = row.at.isoformat()
        fact = {"number": row.number, "at": at, "fact": describe(row.event)}
        _show(json.dumps(fact, ensure_ascii=False) if options.json else f"{row.number} {at} {fact['fact']}")
    return _note_damage(store, name)


def _models(options: argparse.Namespace) -> int:
    if options.action == "fetch":
        model = options.model or "vosk-small-en-us"
        _note(f"fetching {model}")
        _show(wiring.fetch_model(_data(options), model, _progress(), options.place))
        return 0
    if options.action == "pack":
        return _pack(options)
    rows = wiring.list_models(_data(options))
    if options.json:
        _show(json.dumps(rows, ensure_ascii=False))
    else:
        _show("\n".join(f"{row['id']}: {row['title']} ({row['state']})" for row in rows))
    return 0


def _pack(options: argparse.Namespace) -> int:
    if not options.model:
        raise DataError("say which model to pack. List them with: assistant models")
    file, known = wiring.pack_model(_data(options), options.model, options.archive)
    _show(f"{file}: {known.size} bytes, SHA-256 {known.sha256}")
    return 0


def _progress() -> Callable[[int, int], None]:
    """Return what tells every tenth of the way on a line of its own."""
    told = [-1]

    def tell(done: int, total: int) -> None:
        tenth = 10 * done // max(total, 1)
        if tenth > told[0]:
            told[0] = tenth
            _note(f"{10 * tenth} % of {total / 1e6:.0f} MB")

    return tell


_COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {
    "demo": _demo, "run": _run, "jobs": _jobs, "alarm": _alarm, "told": _told, "hear": _hear, "tune": _tune,
    "work-out": _work_out, "list": _list, "journal": _journal, "models": _models,
}  # fmt: skip
