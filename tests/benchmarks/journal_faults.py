"""Attacks the journal, and prints what came of each and how long an append takes.

python -m tests.benchmarks.journal_faults

What is real and what is simulated is said in `tests/journal_attacks.py`. `--kills 1000` kills a typed job at so many
random moments, `--sound-kills 30` one that hears recorded sound through its engines, `--bits 1` flips every bit of the
file, `--cuts 1` cuts it at every byte of its last pages.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from assistant.adapters.clock import SystemClock
from assistant.adapters.journal_sqlite import SqliteJournal, lifting
from assistant.core.job.events import Recorded, StepDone, TimerStarted, encode
from assistant.shelf import take_up
from tests.journal_attacks import ALL, at_every_operation, cut, flipped, limited, sample, shim, while_it_recovers
from tests.old_jobs import lines
from tests.talk import WHOLE

COMMAND = (sys.executable, "-m", "assistant", "run", "oil-and-filter", "--vehicle", "tarnwick-plover-16", "--typed")
HEARING = (*COMMAND[:-1], "--sound")
RECORDINGS = sorted((Path(__file__).parents[2] / "procedures" / "demo" / "oil-and-filter").glob("*.ogg"))[:10]
TURNS = 6
"""Turns of the process that dies, or whose disk fails."""


def main() -> None:
    """Print one line for each attack."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=30, help="random moments at which a typed job is killed")
    parser.add_argument("--sound-kills", type=int, default=0, help="the same of a job that hears recorded sound")
    parser.add_argument("--bits", type=int, default=17, help="of every so many bytes each bit is flipped")
    parser.add_argument("--cuts", type=int, default=13, help="the last four pages are cut in steps of so many bytes")
    parser.add_argument("--appends", type=int, default=500)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for name, found in attacks(Path(folder), options):
            print(f"{name}: {', '.join(f'{count} {what}' for what, count in sorted(found.items()))}", flush=True)
        for name, times in appends(Path(folder), options.appends).items():
            median, slow = statistics.median(times), statistics.quantiles(times, n=100)[98]
            print(f"append, {name}: median {1000 * median:.2f} ms, 99th percentile {1000 * slow:.2f} ms", flush=True)


def attacks(folder: Path, options: argparse.Namespace) -> Iterator[tuple[str, Counter[str]]]:
    """Yield each attack with what came of it."""
    yield "typed job killed at a random moment", killed_at_random(folder / "random", options.kills)
    if options.sound_kills:
        yield "job with sound killed at a random moment", killed_while_hearing(folder / "sound", options.sound_kills)
    library = shim(folder)
    if library:
        yield from with_faults(folder, library)
    else:
        print("no compiler here: operations that fail one by one are left out")
    sizes = range(0, 60_000, 1501)
    full = Counter(limited(folder / f"limit-{most}" / "journal.sqlite", most, 12) for most in sizes)
    yield "files may not grow beyond a limit", full
    yield "file cut", cut(folder / "cut" / "journal.sqlite", range(1, 4 * 4096, options.cuts))
    yield "one bit flipped", flipped(folder / "bits" / "journal.sqlite", options.bits)


def with_faults(folder: Path, library: Path) -> Iterator[tuple[str, Counter[str]]]:
    """Yield the attacks on single operations."""
    for name, how, what, times in (
        ("killed before the nth operation", "kill", ALL, 1),
        ("killed in the middle of the nth write", "torn", "w", 1),
        ("the nth operation fails", "EIO", ALL, 1),
        ("the nth and all after it fail", "ENOSPC", ALL, 0),
        ("the nth sync fails", "EIO", "s", 1),
        ("the nth and all syncs after it fail", "EIO", "s", 0),
        ("the nth read fails", "EIO", "r", 1),
    ):
        places = at_every_operation(folder / "nth", library, how, what=what, times=times, count=TURNS)
        yield name, Counter(verdict for _, verdict in places)
    yield (
        "killed at the nth operation of mending",
        Counter(while_it_recovers(folder / "mended", library, damaged(folder))),
    )
    yield "killed at the nth operation of lifting", Counter(while_it_recovers(folder / "lifted", library, old(folder)))


def damaged(folder: Path) -> bytes:
    """Return a file whose end is missing."""
    sample(folder / "damaged.sqlite")
    return (folder / "damaged.sqlite").read_bytes()[:-5000]


def old(folder: Path) -> bytes:
    """Return a file of version 0 with a job of that time."""
    file = folder / "old.sqlite"
    with closing(sqlite3.connect(file)) as base:
        base.execute(lifting.OLD_TABLE)
        for line in lines("before-conditions-finished"):
            base.execute("insert into facts values ('a', :number, :at, :kind, :body)", line)
        base.commit()
    return file.read_bytes()


def killed_at_random(folder: Path, count: int) -> Counter[str]:
    """Return what comes of a typed job that is killed at moments drawn by chance."""
    chance, found = random.Random(0), Counter[str]()
    whole, lasts = typed(folder / "whole", None)
    expected = plain(folder / "whole")
    assert whole > 60
    for number in range(count):
        data = folder / f"{number}"
        replies, _ = typed(data, chance.uniform(0, lasts))
        found[of_killed(data, replies, expected)] += 1
    return found


def typed(data: Path, until: float | None) -> tuple[int, float]:
    """Type a whole job, kill it so many seconds after its first reply, and return how many facts were told, and how
    long it took from there."""
    parts = (part.strip() for part in WHOLE.split("/"))
    words = "".join(f"@ +{part[1:]}s\n" if part.startswith("@") else f"{part}\n" for part in parts)
    child = subprocess.Popen([*COMMAND, "--json", "--data", str(data)], text=True,
                             stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)  # fmt: skip
    assert child.stdin
    assert child.stdout
    replies = [child.stdout.readline()]
    began = time.monotonic()
    killing = threading.Timer(until or 600, lambda: os.kill(child.pid, signal.SIGKILL))
    killing.start()
    with suppress(BrokenPipeError):
        child.stdin.write(words)
        child.stdin.close()
    replies += child.stdout.readlines()
    child.wait()
    killing.cancel()
    return sum(len(json.loads(line)["events"]) for line in replies if _is_whole(line)), time.monotonic() - began


def _is_whole(line: str) -> bool:
    try:
        json.loads(line)
    except ValueError:
        return False
    return True


def killed_while_hearing(folder: Path, count: int) -> Counter[str]:
    """Return what comes of a job that is killed at moments drawn by chance while it hears recorded sound.

    What engines hear may differ from run to run where one is slow, so each run is held against its own replies.
    """
    chance, found = random.Random(1), Counter[str]()
    _, lasts = heard(folder / "whole", 600)
    for number in range(count):
        data = folder / f"{number}"
        replies, _ = heard(data, chance.uniform(0, lasts))
        found[of_deaf(data, replies)] += 1
    return found


def heard(data: Path, until: float) -> tuple[list[str], float]:
    """Let a job hear the first recordings of the demonstration, kill it so many seconds after its first reply, and
    return the kinds of facts that were told, and how long it took from there."""
    command = [*HEARING, *map(str, RECORDINGS), "--json", "--silent", "--data", str(data)]
    with subprocess.Popen(command, text=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as child:
        assert child.stdout
        replies = [child.stdout.readline()]
        began = time.monotonic()
        killing = threading.Timer(until, lambda: os.kill(child.pid, signal.SIGKILL))
        killing.start()
        replies += child.stdout.readlines()
        killing.cancel()
    told = [fact["kind"] for line in replies if _is_whole(line) for fact in json.loads(line)["events"]]
    return told, time.monotonic() - began


def of_deaf(data: Path, told: list[str]) -> str:
    """Return what is left of a job that heard: every fact that was told, in order, and it can be taken up."""
    kinds = [kind for kind, _ in plain(data)]
    if kinds[: len(told)] != told:
        return "wrong: acknowledged facts are missing"
    journal = SqliteJournal(data / "journal.sqlite")
    take_up(journal, journal.jobs()[0], SystemClock())
    journal.close()
    return "whole"


def plain(data: Path) -> list[tuple[str, str]]:
    """Return the facts of the one job in a folder without their times; none where none was begun."""
    journal = SqliteJournal(data / "journal.sqlite")
    try:
        names = journal.jobs()
        assert all(journal.damage(name) is None for name in names)
        return [_without_time(row) for name in names for row in journal.read(name)]
    finally:
        journal.close()


def _without_time(row: Recorded) -> tuple[str, str]:
    kind, body = encode(row.event)
    return (kind, "") if isinstance(row.event, TimerStarted) else (kind, body)


def of_killed(data: Path, replies: int, expected: list[tuple[str, str]]) -> str:
    """Return what is left of a job: all that was acknowledged, in order, and it can be taken up."""
    found = plain(data)
    if found != expected[: len(found)]:
        return "wrong: other facts"
    if len(found) < replies:
        return "wrong: acknowledged facts are missing"
    journal = SqliteJournal(data / "journal.sqlite")
    take_up(journal, journal.jobs()[0], SystemClock())
    journal.close()
    return "whole"


def appends(folder: Path, count: int) -> dict[str, list[float]]:
    """Return how long each append of a fact took [second], in turns with a plain table of the same settings."""
    journal = SqliteJournal(folder / "ours" / "journal.sqlite")
    beside = sqlite3.connect(folder / "plain.sqlite", isolation_level=None)
    beside.execute("pragma synchronous = EXTRA")
    beside.execute("create table facts (job text, number integer, body text, primary key (job, number)) without rowid")
    times: dict[str, list[float]] = {"this journal": [], "a plain table of SQLite": []}
    for number in range(count):
        began = time.perf_counter()
        journal.append("a", (StepDone(f"step {number}"),), datetime.now(UTC))
        between = time.perf_counter()
        beside.execute("begin immediate")
        beside.execute("insert into facts values ('a', ?, ?)", (number, f"step {number}"))
        beside.execute("commit")
        times["this journal"].append(between - began)
        times["a plain table of SQLite"].append(time.perf_counter() - between)
    journal.close()
    beside.close()
    return times


if __name__ == "__main__":
    main()
