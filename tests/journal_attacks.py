"""Attacks on a journal and what came of each: real processes that die, a disk that fails, a file that is changed.

Real are: the processes, SIGKILL, the limit on the size of files, every byte of the file. Simulated are the errors of
single operations: a library laid before the C library (`faulty_disk.c`) returns them, or dies in the middle of one. The
power is never cut: what a disk loses that said it had written, these do not show.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.core.errors import AssistantError
from assistant.core.job.events import Event, StepDone, StepEntered
from assistant.path.keeping import AGAIN, CANNOT, Keeping

AT = datetime(2026, 3, 14, 9, tzinfo=UTC)
ALL = "wtsd"
"""All operations that write (`faulty_disk.c`)."""


def turn(number: int) -> tuple[Event, ...]:
    """Return the facts of a turn; some are longer than a page."""
    return StepDone(f"{number} " + "long " * (1500 if number % 5 == 4 else 10)), StepEntered(f"{number}")


def work(path: Path, count: int) -> None:
    """Append turns as a run of the program does, and print each once it was acknowledged."""
    store = Keeping(str(path), lambda: SqliteJournal(path), lambda text: print("NOTE", text, flush=True))
    store.hold("a")
    for number in range(len(store.read("a")) // 2, count):
        store.append("a", turn(number), AT + timedelta(seconds=number))
        print(number, *store.warnings, flush=True)
        store.warnings.clear()
    store.close()
    print(*store.warnings, "end", flush=True)


@dataclass(frozen=True, slots=True)
class Ran:
    """What a process said before it ended."""

    acknowledged: int
    """How many turns."""
    told: bool
    """Whether at the end the person knew that the last facts are not on the disk."""
    ended: bool
    faults: int
    crashed: bool


def shim(folder: Path) -> Path | None:
    """Return the library that makes operations fail; None where it can't be made here."""
    compiler = shutil.which("cc")
    if not compiler or not sys.platform.startswith("linux"):
        return None
    made = folder / "faulty_disk.so"
    source = Path(__file__).with_name("faulty_disk.c")
    subprocess.run([compiler, "-shared", "-fPIC", "-o", made, source, "-ldl"], check=True)
    return made


def run(path: Path, count: int, **fault: object) -> Ran:
    """Run a process that appends turns; `fault` are the variables of `faulty_disk.c`."""
    variables = {**os.environ, **{name: str(value) for name, value in fault.items()}}
    command = [sys.executable, "-m", "tests.journal_attacks", str(path), str(count)]
    return _ran(subprocess.run(command, capture_output=True, text=True, check=False, env=variables))


def _ran(done: subprocess.CompletedProcess[str]) -> Ran:
    lines = done.stdout.splitlines()
    told = [text for text in (CANNOT, AGAIN) for line in lines if text in line]
    last = max((CANNOT, AGAIN), key=done.stdout.rfind) if told else ""
    return Ran(
        acknowledged=sum(line.split(" ")[0].isdigit() for line in lines),
        told=last == CANNOT or "they are lost" in done.stdout,
        ended=bool(lines) and lines[-1].endswith("end"),
        faults=done.stderr.count("FAULT"),
        crashed="Traceback" in done.stderr,
    )


def verdict(path: Path, ran: Ran, count: int) -> str:
    """Return what came of an attack: `whole`, `told` (what lacks was told), or what is wrong."""
    if ran.crashed:
        return "wrong: the program ended with a traceback"
    try:
        first, again = _found(path), _found(path)
    except AssistantError as error:
        return f"wrong: {error}"
    expected = [event for number in range(count) for event in turn(number)]
    if first != again:
        return "wrong: read twice it is not the same"
    if first != expected[: len(first)] or len(first) % 2:
        return "wrong: it is no beginning of what was written"
    if len(first) // 2 >= ran.acknowledged:
        return "whole"
    return "told" if ran.told else "wrong: acknowledged facts are missing"


def _found(path: Path) -> list[Event]:
    journal = SqliteJournal(path)
    try:
        damage = journal.damage("a")
        if damage:
            raise AssistantError(str(damage))
        return [row.event for row in journal.read("a")]
    finally:
        journal.close()


def at_every_operation(folder: Path, library: Path, how: str, *, what: str = ALL, times: int = 1, count: int = 6,
                       only: Iterable[int] | None = None) -> Iterator[tuple[int, str]]:  # fmt: skip
    """Yield each operation at which something goes wrong, and what came of it; until none is left."""
    for place in only or range(1, 10_000):
        path = folder / f"{how}-{what}-{times}-{place}" / "journal.sqlite"
        path.parent.mkdir(parents=True)
        ran = run(path, count, LD_PRELOAD=library, FAULT_FROM=place, FAULT_HOW=how, FAULT_WHAT=what, FAULT_TIMES=times)
        if not ran.faults:
            return
        yield place, verdict(path, ran, count)
        shutil.rmtree(path.parent)


def while_it_recovers(folder: Path, library: Path, before: bytes, only: Iterable[int] | None = None) -> Iterator[str]:
    """Yield what comes of a process that dies at each operation while it lifts or mends a file, and one after it."""
    whole = folder / "recovered" / "journal.sqlite"
    whole.parent.mkdir(parents=True)
    whole.write_bytes(before)
    expected = _found_of_all(whole)
    for place in only or range(1, 10_000):
        path = folder / f"recovery-{place}" / "journal.sqlite"
        path.parent.mkdir(parents=True)
        path.write_bytes(before)
        ran = run(path, 0, LD_PRELOAD=library, FAULT_FROM=place, FAULT_HOW="kill", FAULT_WHAT=ALL)
        if not ran.faults:
            return
        yield "whole" if _found_of_all(path) == expected else f"wrong: killed at {place}"
        shutil.rmtree(path.parent)


def _found_of_all(path: Path) -> list[object]:
    journal = SqliteJournal(path)
    try:
        return [(job, str(journal.damage(job)), journal.read(job)) for job in journal.jobs()]
    finally:
        journal.close()


def limited(path: Path, most: int, count: int) -> str:
    """Return what comes of a process that may not write beyond so many bytes of any file."""
    words = (
        f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({most}, {most})); from pathlib import Path; "
        f"from tests.journal_attacks import work; work(Path({str(path)!r}), {count})"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=False)
    return verdict(path, _ran(done), count)


def sample(path: Path) -> dict[str, list[Event]]:
    """Write a journal with two jobs, and return what it holds."""
    journal = SqliteJournal(path)
    written: dict[str, list[Event]] = {"a": [], "b": []}
    for number in range(9):
        for job, events in written.items():
            events += turn(number)
            journal.append(job, turn(number), AT)
    journal.close()
    return written


def changed(path: Path, content: bytes, written: dict[str, list[Event]]) -> str:
    """Return what comes of a file with another content: `harmless`, `found`, `refused`, or `wrong`."""
    for file in path.parent.glob("journal*"):
        file.unlink()
    path.write_bytes(content)
    try:
        journal = SqliteJournal(path)
    except AssistantError:
        return "refused" if path.read_bytes() == content else "wrong: refused, and yet changed"
    try:
        results = {_of_job(journal, job, events) for job, events in written.items()}
    except AssistantError as error:
        return f"wrong: {error}"
    finally:
        journal.close()
    return max(results, key=["harmless", "found"].index) if results <= {"harmless", "found"} else "wrong: believed"


def _of_job(journal: SqliteJournal, job: str, events: list[Event]) -> str:
    rows = [row.event for row in journal.read(job)]
    if rows != events[: len(rows)]:
        return "wrong"
    lacking = len(rows) < len(events)
    if lacking and not journal.damage(job) and rows:
        return "wrong"
    return "found" if lacking or journal.damage(job) else "harmless"


def cut(path: Path, places: Iterable[int]) -> Counter[str]:
    """Return what comes of a file that ends so many bytes before its end."""
    written = sample(path)
    content = path.read_bytes()
    return Counter(changed(path, content[: len(content) - place], written) for place in places)


def flipped(path: Path, bytes_apart: int, bits: Iterable[int] = range(8)) -> Counter[str]:
    """Return what comes of a file with one bit changed, of every so many bytes each of these bits."""
    written = sample(path)
    content = path.read_bytes()
    found: Counter[str] = Counter()
    for place in range(0, len(content), bytes_apart):
        for bit in bits:
            other = bytearray(content)
            other[place] ^= 1 << bit
            found[changed(path, bytes(other), written)] += 1
    return found


if __name__ == "__main__":
    work(Path(sys.argv[1]), int(sys.argv[2]))
