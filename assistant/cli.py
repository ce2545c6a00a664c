"""The command line: the only file that prints. Plain lines, one after the other; no colour, no moving cursor."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from assistant import alarm, demo, hear, told, tune, wiring
from assistant.arguments import parser
from assistant.core.compute.showing_answers import answer_lines, answer_record, listing, listing_record, page
from assistant.core.compute.work_out import CALCULATIONS, calculation, work_out
from assistant.core.errors import AssistantError, DataError, DeviceError
from assistant.core.events import describe
from assistant.core.hearing.attention import call_phrase
from assistant.core.hearing.tuning import SENTENCES
from assistant.core.showing import left, summary_lines, turn_lines, turn_record
from assistant.core.simulated_time import seconds_of
from assistant.core.types import Hypothesis, Intent
from assistant.jobs import Note, follow, once, rows_of, take_up
from assistant.mouth import Mouth
from assistant.ports import Clock, Journal
from assistant.turn import Desk, Turn, heard, let_calls_end, let_time_pass, listen, meant, opening, speak, time_passes

USAGE, FAILED, STOPPED = 2, 1, 130
"""Exit codes: words of the command are wrong; something failed; stopped by the person."""
LOOK_AGAIN = 0.5
"""After how long a journal that is followed is looked at again [second]."""


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    options = parser().parse_args(arguments)
    try:
        return _COMMANDS[options.command](options)
    except DataError as error:
        return _fail(error, USAGE)
    except AssistantError as error:
        return _fail(error, FAILED)
    except KeyboardInterrupt:
        _note(
            "Stopped. The job is kept. Go on with: assistant run --resume" if options.command == "run" else "Stopped."
        )
        return STOPPED
    except BrokenPipeError:
        return FAILED


def _fail(error: AssistantError, code: int) -> int:
    _note(f"error: {error}")
    return code


def _note(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _show(text: str) -> None:
    print(text, flush=True)


def _data(options: argparse.Namespace) -> Path:
    return Path(options.data) if options.data else wiring.default_data()


# --- run -----------------------------------------------------------------------------------------------------------


def _run(options: argparse.Namespace) -> int:
    data = _data(options)
    for file in options.sound or ():
        if fault := wiring.sound_fault(file):
            raise DataError(f"{file}: {fault}")
    call = call_phrase(options.attention) if options.attention is not None else None
    care = alarm.care(
        data, options.alarm, off=options.no_alarm, typed=options.typed, recorded=options.sound is not None
    )
    note = once(_note)
    store = wiring.keeping(data, note)
    clock = _clock(options)
    try:
        desk, first = _desk(options, data, store, clock, note)
    except BaseException:
        store.close()
        raise
    show = _shower(options, desk)
    _give_voice(options, desk)
    desk.call = call
    if user := wiring.known_user(data, options.user):
        desk.ears.phrasebook = wiring.phrasebook(wiring.library(data).rules(), data, user)
    try:
        alarm.take_care(desk, care, _note)
        show(first)
        speak(desk, first.reply)
        for turn in _turns(options, desk):
            show(turn)
            if turn.state.finished_at:
                break
        return _end(options, desk, data)
    finally:
        wiring.close(desk)


def _clock(options: argparse.Namespace) -> Clock:
    if options.sound:
        return wiring.MovableClock(wiring.SystemClock().now())
    return wiring.ShiftedClock() if options.typed else wiring.SystemClock()


def _desk(options: argparse.Namespace, data: Path, store: Journal, clock: Clock, note: Note) -> tuple[Desk, Turn]:
    """Return a desk with the wanted job on it, and its first turn."""
    shelf = wiring.library(data)
    if options.job:
        procedure = shelf.job(options.job)
        if not options.vehicle:
            known = ", ".join(vehicle.id for vehicle in shelf.vehicles())
            raise DataError(f"say which vehicle, with --vehicle ID. There are: {known}.")
        with suppress(DeviceError):  # what stands in its way is told when the job is written
            if other := wiring.unfinished(store, note):
                _note(f"note: another job is unfinished: {left(other.state, clock.now())}")
        job, rows = wiring.new_job(store, procedure, shelf.vehicle(options.vehicle), clock, note)
        desk = wiring.desk(job, store, clock, shelf)
        return desk, opening(desk, rows)
    name = options.resume if isinstance(options.resume, str) else _unfinished(store, data, note)
    found = take_up(store, name, clock, note)
    desk = wiring.desk(found, store, clock, shelf)
    if options.resume:
        return desk, meant(desk, Intent("go-on"))
    _note(f"unfinished: {left(found.state, desk.clock.now())}")
    return desk, meant(desk, Intent("park"))


def _unfinished(store: Journal, data: Path, note: Note) -> str:
    """Return the name of the job to take up."""
    found = wiring.unfinished(store, note)
    if not found:
        jobs = ", ".join(job.id for job in wiring.library(data).jobs())
        raise DataError(f"there is no unfinished job. Begin one: assistant run JOB --vehicle VEHICLE. Jobs: {jobs}.")
    return found.name


def _shower(options: argparse.Namespace, desk: Desk) -> Callable[[Turn], None]:
    def show(turn: Turn) -> None:
        if options.json:
            record = turn_record(turn.understanding, turn.recorded, turn.state, turn.reply, desk.clock.now())
            print(json.dumps(record, ensure_ascii=False), flush=True)
        else:
            print("\n".join([*turn_lines(turn.understanding, turn.recorded, turn.reply), ""]), flush=True)
        while desk.ears.faults:
            _note(f"note: {desk.ears.faults.pop(0)}")

    return show


def _give_voice(options: argparse.Namespace, desk: Desk) -> None:
    """Give the desk ears and a voice, as far as they are asked for and there are any."""
    if not options.typed:
        desk.ears.engines = wiring.recognisers(_data(options), _note)
    if options.silent or (options.typed and not options.speech_file):
        return
    if options.sound and not options.speech_file and not options.loudspeaker:
        return
    desk.mouth.headset = options.headset
    desk.mouth.player = wiring.player(options.speech_file, options.loudspeaker, _note)
    desk.mouth.speech = wiring.speech() if desk.mouth.player else None


def _turns(options: argparse.Namespace, desk: Desk) -> Iterator[Turn]:
    if options.typed:
        yield from _typed(desk)
        return
    voice, segmenter = wiring.SileroVoice(), wiring.Segmenter()
    for file in options.sound or (None,):
        source = wiring.source(file, options.microphone)
        heard_any = False
        try:
            for turn in listen(desk, source, voice, segmenter):
                heard_any = heard_any or turn.understanding is not None
                yield turn
        finally:
            source.close()
        if file and not heard_any:
            raise DataError(f"{file}: no speech was found in it. Record it again, closer to the microphone.")


def _typed(desk: Desk) -> Iterator[Turn]:
    """Read utterances from standard input; a line such as `@ +10m` lets minutes pass.

    Calls for help take real time: what came of one is told at the next line, or waited for after the last.
    """
    for line in sys.stdin:
        text = line.strip()
        if text.startswith("@"):
            yield from let_time_pass(desk, seconds_of(text))
        elif text:
            if due := time_passes(desk):
                yield due
            yield heard(desk, Hypothesis(text, 0.0, "typed"))
    yield from let_calls_end(desk)


def _end(options: argparse.Namespace, desk: Desk, data: Path) -> int:
    """Write the report of a finished job, or say how to go on with an unfinished one."""
    now = desk.clock.now()
    if not desk.state.finished_at:
        _note(f"Not finished: {left(desk.state, now)}. It is kept. Go on with: assistant run --resume")
        return 0
    report, calendar = wiring.write_report(desk, data), wiring.write_reminder(desk, data)
    if not options.json:
        print("\n".join([*summary_lines(desk.state, now), f"journal: {desk.journal.where}", f"report: {report}"]))
        if calendar:
            print(f"calendar: {calendar}")
    return 0


# --- demo ----------------------------------------------------------------------------------------------------------


def _demo(options: argparse.Namespace) -> int:
    def show(lines: Sequence[str]) -> None:
        print("\n".join(lines), flush=True)

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
        print(json.dumps(SENTENCES) if options.json else "\n".join(SENTENCES))
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
        print(json.dumps(found, ensure_ascii=False))
        return 0
    print(f"{found['right']} of {len(SENTENCES)} sentences were heard right.")
    print("\n".join(found["advice"]) or "All is well: nothing needs to be changed.")
    print(f"kept for {found['user']}: {found['kept']}")
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
        print(json.dumps(record, ensure_ascii=False))
    else:
        print("\n".join(answer_lines(answer) if given else page(wanted, answer)))
    return 0


def _show_calculations(options: argparse.Namespace) -> int:
    every = tuple(CALCULATIONS.values())
    print(
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
    return _show_items(options, shelf.jobs() if options.what == "jobs" else shelf.vehicles())


def _show_items(options: argparse.Namespace, items: Sequence[object]) -> int:
    pairs = [{"id": item.id, "title": item.title} for item in items]  # type: ignore[attr-defined]
    if options.json:
        print(json.dumps(pairs, ensure_ascii=False))
    else:
        print("\n".join(f"{pair['id']}: {pair['title']}" for pair in pairs))
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
            print(json.dumps({"id": name, "facts": count}) if options.json else f"{name}: {count} facts")
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
        _note(f"fetching {options.model}")
        print(wiring.fetch_model(_data(options), options.model, _progress()))
        return 0
    rows = wiring.list_models(_data(options))
    if options.json:
        print(json.dumps(rows, ensure_ascii=False))
    else:
        print("\n".join(f"{row['id']}: {row['title']} ({row['state']})" for row in rows))
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
    "demo": _demo, "run": _run, "alarm": _alarm, "told": _told, "hear": _hear, "tune": _tune, "work-out": _work_out,
    "list": _list, "journal": _journal, "models": _models,
}  # fmt: skip
