"""The demonstration: a recorded oil and filter change through the real path, faster than it sounds. Prints nothing.

Sound, voice activity, recogniser, matching, engine, journal, reply and speech are those of a real job; only the
time is moved on between the recordings, and the two sides of the talk go into one speech file.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.core.errors import DeviceError
from assistant.core.hearing.phrases import allowed
from assistant.core.hearing.verdict.understanding import understand
from assistant.core.job.simulated_time import seconds_of
from assistant.core.reply.may_say import may_say
from assistant.core.reply.showing import summary_lines, turn_lines, turn_record
from assistant.core.types import Hypothesis, Understanding, Verdict
from assistant.path.desk import Desk, Turn
from assistant.path.listening import listen
from assistant.path.replying import speak
from assistant.path.turn import let_time_pass, opening
from assistant.ports import Player

Show = Callable[[Sequence[str]], None]


@dataclass(slots=True)
class Score:
    """What was heard right."""

    sounds: int = 0
    right: int = 0


@dataclass(frozen=True, slots=True)
class Stage:
    """What the demonstration plays on."""

    desk: Desk
    file: Any
    loudspeaker: Player | None
    script: Path
    turns: tuple[Any, ...]
    show: Show
    as_json: bool


def command(options: argparse.Namespace, data: Path, show: Callable[[str], None], note: Callable[[str], None]) -> int:
    """Play the demonstration, and return the exit code."""

    def show_lines(lines: Sequence[str]) -> None:
        show("\n".join(lines))

    return play(data, real_time=options.real_time, as_json=options.json, show=show_lines, note=note)


def play(out: Path, *, real_time: bool, as_json: bool, show: Show, note: Callable[[str], None]) -> int:
    """Play the whole demonstration into a folder and return the exit code."""
    began = time.monotonic()
    stage = _stage(out, real_time, as_json, show, note)
    score = Score()
    try:
        for turn in _turns(stage, score):
            _tell(stage, turn)
        lines = _finish(stage, score, out, time.monotonic() - began)
    finally:
        wiring.close(stage.desk, stage.loudspeaker)
    if not as_json:  # a child's memory is known once it has ended
        show([*lines, f"memory at most: {_megabytes():.0f} MB in the largest process"])
    return 0 if stage.desk.state.finished_at else 1


def _stage(out: Path, real_time: bool, as_json: bool, show: Show, note: Callable[[str], None]) -> Stage:
    out.mkdir(parents=True, exist_ok=True)
    shelf = wiring.library(out)
    script = wiring.demo_script("oil-and-filter")
    content = wiring.read_yaml(script)
    clock = wiring.MovableClock(wiring.SystemClock().now())
    store = wiring.journal(out)
    engines = wiring.recognisers(wiring.default_data(), note)
    job, rows = wiring.new_job(store, shelf.job(content["job"]), shelf.vehicle(content["vehicle"]), clock)
    desk = wiring.desk(job, store, clock, shelf)
    desk.ears.engines, desk.mouth.speech = engines, wiring.speech()
    desk.mouth.player = wiring.player(out / "speech.flac", None, note)
    loudspeaker = wiring.player(None, None, note) if real_time else None
    stage = Stage(desk, desk.mouth.player, loudspeaker, script, tuple(content["turns"]), show, as_json)
    first = opening(desk, rows)
    speak(desk, first.reply)
    _tell(stage, first)
    return stage


def _turns(stage: Stage, score: Score) -> Iterator[Turn]:
    voice, segmenter = wiring.SileroVoice(), wiring.Segmenter()
    number, total = 0, sum(isinstance(turn, dict) for turn in stage.turns)
    for item in stage.turns:
        if isinstance(item, str):
            yield from let_time_pass(stage.desk, seconds_of(item))
            continue
        number += 1
        sound = stage.script.with_suffix("") / f"{number:02d}.ogg"
        if not stage.as_json:
            stage.show([f"[{number} of {total}] recorded: {item['say']!r}"])
        samples = wiring.read_sound(sound)
        stage.file.play(samples)
        if stage.loudspeaker:
            stage.loudspeaker.play(samples)
        source, meaning = wiring.source(sound, None), _meaning(stage.desk, item)
        for turn in listen(stage.desk, source, voice, segmenter):
            score.right += turn.understanding is not None and _taken(turn.understanding) == meaning
            yield turn
        source.close()
    score.sounds = total


def _meaning(desk: Desk, item: dict[str, str]) -> object:
    """Return what a recording should be taken for in this state; None where nothing should be done."""
    if item.get("for") == "nobody" or item.get("note") == "unclear":
        return None
    match = desk.ears.read(Hypothesis(item["say"], 0.0, "script"), allowed(desk.state, desk.phrases))
    return _taken(understand(match, str(desk.state.vehicle.units)))


def _taken(understanding: Understanding) -> object:
    intent = understanding.intent
    if understanding.verdict is not Verdict.ACCEPTED or not intent:
        return None
    return intent.name, intent.option, intent.value


def _tell(stage: Stage, turn: Turn) -> None:
    now = stage.desk.clock.now()
    if stage.as_json:
        sayable = may_say(turn.state, stage.desk.phrases)
        record = turn_record(turn.understanding, turn.recorded, turn.state, turn.reply, now, sayable)
        stage.show([json.dumps(record, ensure_ascii=False)])
    else:
        stage.show([*turn_lines(turn.understanding, turn.recorded, turn.reply), ""])
    if stage.loudspeaker and stage.desk.mouth.speech:
        with suppress(DeviceError):
            stage.loudspeaker.play(stage.desk.mouth.speech.render(turn.reply.say), turn.reply.tone)


def _finish(stage: Stage, score: Score, out: Path, took: float) -> list[str]:
    """Write the report, and return what the demonstration came to."""
    desk, now, talk = stage.desk, stage.desk.clock.now(), stage.file.seconds
    report, calendar = wiring.write_report(desk, out), wiring.write_reminder(desk, out)
    return [
        *summary_lines(desk.state, now),
        f"heard right: {score.right} of {score.sounds} recordings",
        f"journal: {desk.journal.where}",
        f"speech file: {stage.file.name}",
        f"report: {report}",
        f"calendar: {calendar}",
        f"talk: {talk:.0f} seconds; worked out in {took:.0f} seconds; real-time factor {took / talk:.2f}",
    ]


def _megabytes() -> float:
    """Return the most memory that this process or one of its children held [megabyte]; 0 where nobody counts it."""
    if sys.platform == "win32":
        return 0.0
    import resource

    per = 1e6 if sys.platform == "darwin" else 1e3
    return max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) / per
