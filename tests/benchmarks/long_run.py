"""Prints what a long day costs: memory of each process, time to the reply, time of an append, by quarters of an hour.

    nice python -m tests.benchmarks.long_run [--hours 8] [--facts 10000] --kept long.jsonl
    python -m tests.benchmarks.long_run --plot long.jsonl tests/benchmarks/long_run.svg

Sound goes block by block through `listen` with the engines, the voice detector, the voice and the journal of a job, as
fast as it is taken; the clock moves with it. So that the one job holds so many facts at the end, the same person types
after each quarter. Resident memory is what the kernel counts, pages that processes share counted in each.
The second form needs the package matplotlib.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import psutil

from assistant import wiring
from assistant.core.job.events import Event, Recorded
from assistant.core.types import Hypothesis, Utterance
from assistant.path.desk import Desk, Turn
from assistant.path.ears import Ears
from assistant.path.hearing import heard
from assistant.path.keeping import Keeping
from assistant.path.listening import listen
from assistant.path.mouth import Mouth
from assistant.path.turn import time_passes
from tests.benchmarks.garage import Garage
from tests.long_job import Mechanic

QUARTER = 900.0
MORE_MEMORY, MORE_LATER = 100.0, 25.0
"""So much more than after its first quarter of an hour no process may hold at the end [MiB], and than after half of the
run: what is kept of phrases fills up in the first hours, and 10,000 facts take 2.5 MiB."""
SLOWER = 1.5
"""So many times the median delay of the first quarter of the run that of the last may be."""
CAR, JOB = "tarnwick-plover-16", "oil-and-filter"


class Timed(Keeping):
    """A journal whose appends are timed."""

    def __init__(self, data: Path) -> None:
        super().__init__(str(data / wiring.JOURNAL), lambda: wiring.journal(data), print)
        self.took: list[float] = []
        self.facts = 0

    def append(self, job: str, events: Sequence[Event], at: datetime) -> tuple[Recorded, ...]:
        began = time.perf_counter()
        rows = super().append(job, events, at)
        self.took.append(time.perf_counter() - began)
        self.facts += len(rows)
        return rows


@dataclass(slots=True)
class Quarter:
    """What was measured in a quarter of an hour."""

    hours: float
    facts: int
    memory: dict[str, float]
    """Resident memory of each process [MiB]."""
    objects: int
    """How many objects the collector of the program knows."""
    late: list[float]
    """From the end of each command to its reply [second]."""
    appends: list[float]
    """[second]"""
    journal: int
    """[byte]"""
    commands: int
    understood: int
    utterances: int
    load: float = field(default_factory=lambda: os.getloadavg()[0])

    def __str__(self) -> str:
        memory = "".join(f"{self.memory.get(name, 0):10.0f}" for name in PROCESSES)
        late = f"{median(self.late):6.2f} {max(self.late):6.2f}" if self.late else f"{'-':>6} {'-':>6}"
        times = 1000 * np.quantile(self.appends, (0.5, 1.0))
        return (
            f"{self.hours:5.2f} {self.facts:6} {memory} {self.objects / 1000:7.0f}  {late}  {times[0]:6.2f} "
            f"{times[1]:6.0f} {self.journal / 1024:8.0f}  {self.utterances:4} {self.commands:4} {self.understood:4} "
            f"{self.load:5.1f}"
        )


PROCESSES = ("program", "moonshine", "whisper", "voice")
HEADER = (
    f"hours  facts {''.join(f'{name:>10}' for name in PROCESSES)} objects   reply  worst  append  worst  journal  "
    f"said  cmd took  load\n{'':12} {'MiB'.rjust(10) * 4}    1000       s      s      ms     ms      KiB"
)


class Day:
    """A job with its engines, and what is measured of it."""

    def __init__(self, data: Path) -> None:
        library, self.journal = wiring.library(data), Timed(data)
        clock = wiring.MovableClock(datetime(2026, 3, 14, 8, tzinfo=UTC))
        job, _ = wiring.new_job(self.journal, library.job(JOB), library.vehicle(CAR), clock)
        self.desk = wiring.desk(job, self.journal, clock, library)
        self.desk.ears = Ears(wiring.phrasebook(library.rules()), wiring.recognisers(data, print))
        self.data = data
        self.mechanic = Mechanic()
        self.garage = Garage(self.desk, library.rules(), data, self.mechanic)
        self.desk.mouth = Mouth(wiring.speech(), self.garage)
        self._late: list[float] = []
        self._understood = 0
        for engine in self.desk.ears.engines:  # what is loaded late delays no reply
            engine.hear(Utterance(np.zeros(8000, np.float32), 0), self.desk.phrases)
        self.desk.mouth.speech.render("Ready.")

    def quarters(self, hours: float, facts: int) -> Iterator[Quarter]:
        """Yield each quarter of an hour as it is over; after each the person has typed up to its share of the facts."""
        count = round(hours * 3600 / QUARTER)
        voice, segmenter = wiring.SileroVoice(), wiring.Segmenter()
        for number in range(1, count + 1):
            self.garage.until = number * QUARTER
            before = self.garage.commands, self.garage.utterances
            for turn in listen(self.desk, self.garage, voice, segmenter):
                self._note(turn)
            self._type(facts * number // count)
            yield self._measured(number * QUARTER / 3600, *before)

    def _note(self, turn: Turn) -> None:
        said = self.garage.said
        for fault in (*self.desk.ears.faults, *self.desk.mouth.faults):
            print(f"    {fault}", flush=True)
        self.desk.ears.faults.clear()
        late = self.garage.late
        if not (said and late is not None and turn.understanding and turn.reply.say):
            return
        if late > 0:  # else it answered a part of it
            self._late.append(late)
            intent = turn.understanding.intent
            self._understood += intent is not None and intent.name == said.meant.name
        self.garage.said = None

    def _type(self, facts: int) -> None:
        """Let the person type until there are so many facts; waits are waited for at once."""
        desk, mouth = self.desk, self.desk.mouth
        desk.mouth = Mouth()
        while self.journal.facts < facts and not desk.state.finished_at:
            due = max((timer.due for timer in desk.state.timers), default=desk.clock.now())
            desk.clock.move(max(2.0, (due - desk.clock.now()) / timedelta(seconds=1)))
            time_passes(desk)
            meant = self.mechanic.means(desk.state, desk.clock.now())
            heard(desk, Hypothesis(self.garage.words(meant) or "go back one step", 0.0, "typed"))
        desk.mouth = mouth

    def _measured(self, hours: float, commands: int, utterances: int) -> Quarter:
        gc.collect()
        took = Quarter(
            hours, self.journal.facts, memory(self.desk), len(gc.get_objects()), self._late, self.journal.took,
            (self.data / wiring.JOURNAL).stat().st_size, self.garage.commands - commands, self._understood,
            self.garage.utterances - utterances,
        )  # fmt: skip
        self._late, self.journal.took, self._understood = [], [], 0
        return took


def memory(desk: Desk) -> dict[str, float]:
    """Return the resident memory of this process and of its children, by what they are [MiB]."""
    engines = {engine._process._child.process.pid: engine.engine for engine in desk.ears.engines}  # type: ignore[attr-defined]
    found = {"program": psutil.Process().memory_info().rss}
    for child in psutil.Process().children():
        name = engines.get(child.pid) or ("voice" if "speech_child.py" in " ".join(child.cmdline()) else "other")
        found[name] = found.get(name, 0) + child.memory_info().rss
    return {name: size / 2**20 for name, size in found.items()}


def bounds(quarters: Sequence[Quarter]) -> list[tuple[bool, str]]:
    """Return whether each bound holds, and what was found."""
    marks = {"the first quarter of an hour": (quarters[0], MORE_MEMORY),
             "half of the run": (quarters[(len(quarters) - 1) // 2], MORE_LATER)}  # fmt: skip
    found = [
        (more < bound, f"{name}: {more:+.0f} MiB since {since}, less than {bound:g}")
        for name in PROCESSES
        for since, (then, bound) in marks.items()
        for more in [quarters[-1].memory.get(name, 0.0) - then.memory.get(name, 0.0)]
    ]
    share = max(1, len(quarters) // 4)
    delays = [median(late for one in part for late in one.late) for part in (quarters[:share], quarters[-share:])]
    text = f"reply after {delays[0]:.2f} s in the first quarter of the run, {delays[1]:.2f} s in the last"
    return [*found, (delays[1] < SLOWER * delays[0], f"{text}, less than {SLOWER:g} times as long")]


def plot(kept: Path, picture: Path) -> None:
    """Draw memory and delay over the day."""
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "long_run"  # the same data give the same file
    from matplotlib import pyplot

    rows: list[dict[str, Any]] = [json.loads(line) for line in kept.read_text(encoding="utf-8").splitlines()]
    hours = [row["hours"] for row in rows]
    figure, (upper, lower) = pyplot.subplots(2, 1, figsize=(6, 6), sharex=True)
    for name in PROCESSES:
        upper.plot(hours, [row["memory"].get(name, 0) for row in rows], label=name)
    upper.set(ylabel="resident memory [MiB]", ylim=(0, None))
    upper.set_title(f"One job, {rows[-1]['facts']} facts at the end", fontsize=10)
    for share, label in ((0.5, "median"), (0.9, "90th percentile")):
        lower.plot(hours, [np.quantile(row["late"], share) for row in rows], label=f"reply, {label}")
    lower.set(xlabel="time of the day [hour]", ylabel="from the end of speech [s]", ylim=(0, None))
    for axes in (upper, lower):
        axes.grid(alpha=0.3)
        axes.legend()
    figure.tight_layout()
    figure.savefig(picture, metadata={"Date": None})


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--hours", type=float, default=8.0, help="how much sound")
    parser.add_argument("--facts", type=int, default=10_000, help="how many facts the job holds at the end")
    parser.add_argument("--kept", type=Path, help="keep what was measured, one line of JSON a quarter of an hour")
    parser.add_argument("--plot", type=Path, nargs=2, metavar=("KEPT", "PICTURE"), help="draw what was kept")
    options = parser.parse_args()
    if options.plot:
        plot(*options.plot)
        return 0
    began, quarters = time.perf_counter(), []
    with tempfile.TemporaryDirectory() as folder:
        day = Day(Path(folder))
        print(HEADER, flush=True)
        for quarter in day.quarters(options.hours, options.facts):
            quarters.append(quarter)
            print(quarter, flush=True)
            if options.kept:
                with options.kept.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(asdict(quarter)) + "\n")
        wiring.close(day.desk)
    late = [one for quarter in quarters for one in quarter.late]
    print(f"\nreply: {median(late):.2f} s at the median, {np.quantile(late, 0.95):.2f} s at the 95th percentile")
    print(f"it took {time.perf_counter() - began:.0f} s")
    found = bounds(quarters)
    for holds, text in found:
        print("holds: " if holds else "BROKEN: ", text)
    return 0 if all(holds for holds, _ in found) else 1


if __name__ == "__main__":
    sys.exit(main())
