"""Files made broken at random, as a slip, an editor or a bad disk does it: each is refused in words, or a job is done.

    python -m tests.benchmarks.broken_files [COUNT] [SEED]

COUNT files of each kind (1000). Printed is how many were refused, did a whole job, or led to no end of it, and each
exception that nobody foresaw with the file that led to it: there must be none.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from assistant.adapters.grammar_file import read_grammar
from assistant.adapters.library import Library, data_folder, match_settings, read_settings, user_file
from assistant.core.data.procedure import Procedure
from assistant.core.data.vehicle import Vehicle
from assistant.core.errors import DataError, ReadingError
from assistant.core.hearing.phrases import allowed
from assistant.core.job.vehicle_values import check_all, check_vehicle
from tests.straight import straight_on

SHELF = Library()
TABLES = SHELF.tables()
GENERAL = SHELF.phrases()
ODD = (
    "", "null", "-1", "0", "NaN", "inf", "1e999", "9" * 400, "2026-02-30", "[]", "{}", "{a}", "{", "}", "[", "&a", "*a",
    "!!set {}", "'", '"', "4 qt", "0 L", "-3 L", "1e9 L", "30", "30 N·m", "1 month", "<quantity>", "(a", "\t", "# x",
    "~", "\u202e", "ü", "0x1F", "yes", "x" * 300, "../../x", "{oil-grade}", "{next-date}", "|", ">", "? a", "- a",
    "<<: a",
)  # fmt: skip
"""What stands where something else was meant."""


def bytes_broken(content: bytes, chance: random.Random) -> bytes:
    found = bytearray(content)
    for _ in range(chance.choice((1, 1, 2, 5, 40))):
        place = chance.randrange(max(1, len(found)))
        if place >= len(found):
            break
        match chance.randrange(4):
            case 0:
                found[place] = chance.randrange(256)
            case 1:
                del found[place : place + chance.choice((1, 1, 3, 30))]
            case 2:
                found[place:place] = bytes(chance.randrange(256) for _ in range(chance.choice((1, 2, 9))))
            case _:
                found[place] ^= 1 << chance.randrange(8)
    return bytes(found)


def lines_broken(content: bytes, chance: random.Random) -> bytes:
    lines = content.split(b"\n")
    for _ in range(chance.choice((1, 1, 2, 4))):
        if not lines:
            break
        place, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        match chance.randrange(5):
            case 0:
                del lines[place]
            case 1:
                lines.insert(other, lines[place])
            case 2:
                lines[place], lines[other] = lines[other], lines[place]
            case 3:
                lines[place] = b" " * chance.randrange(5) + lines[place].strip()
            case _:
                lines = lines[: max(1, place)]
    return b"\n".join(lines)


def values_broken(content: bytes, chance: random.Random) -> bytes:
    text = content.decode()
    for _ in range(chance.choice((1, 1, 2, 3))):
        spots = list(re.finditer(r"(?<=[:,\[] )[^,\]}{\n]+", text))
        if spots:
            spot = chance.choice(spots)
            text = text[: spot.start()] + chance.choice(ODD) + text[spot.end() :]
    return text.encode("utf-8", "surrogatepass")


WAYS: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "bytes": bytes_broken, "lines": lines_broken, "values": values_broken
}  # fmt: skip


def vehicle(file: Path) -> str:
    car = SHELF.vehicle(str(file))
    job = SHELF.job("oil-and-filter")
    check_vehicle(job, car, TABLES)
    try:
        check_all(job, car, {})
    except ReadingError:
        return "refused"
    return done(job, car)


def job(file: Path) -> str:
    procedure, car = SHELF.job(str(file)), SHELF.vehicle("tarnwick-plover-16")
    check_vehicle(procedure, car, TABLES)
    try:
        check_all(procedure, car, {})
    except ReadingError:
        return "refused"
    return done(procedure, car)


def done(procedure: Procedure, car: Vehicle) -> str:
    """Return whether the whole job can be done straight on; what may be said is worked out at each of its states."""
    values = {name: wanted.most for name, wanted in procedure.values.items()}
    values |= {name: spec.value for one in SHELF.vehicles() for name, spec in one.values.items()}
    try:
        for state, _ in straight_on(procedure, car, values):
            allowed(state, GENERAL)
    except AssertionError:  # steps left out or turned round: it is refused in words for ever
        return "no end"
    return "done"


def grammar(file: Path) -> str:
    read_grammar(file)
    return "done"


def settings(file: Path) -> str:
    file.replace(file.parent / "settings.yaml")
    read_settings(file.parent)
    return "done"


def user(file: Path) -> str:
    own = user_file(file.parent, "me")
    own.parent.mkdir(exist_ok=True)
    file.replace(own)
    match_settings(file.parent, "me")
    return "done"


FOLDER = data_folder("procedures")
KINDS: dict[str, tuple[bytes, Callable[[Path], str]]] = {
    "vehicle": ((FOLDER / "vehicles" / "tarnwick-plover-16.yaml").read_bytes(), vehicle),
    "job": ((FOLDER / "jobs" / "oil-and-filter.yaml").read_bytes(), job),
    "grammar": ((FOLDER / "phrases" / "numbers.jsgf").read_bytes(), grammar),
    "settings": (b"alarm:\n  command: /home/me/call.sh 0123\n  seconds: 60\ncheck-in-minutes: 15\n", settings),
    "user": (b"sure: 0.95\nunsure: 0.4\naccept: -0.1\n", user),
}


@dataclass
class Table:
    """What became of the files."""

    counts: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    unforeseen: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        heads = ("refused", "done", "no end", "unforeseen")
        rows = [f"{'':20}{''.join(f'{head:>12}' for head in heads)}"]
        for kind, way in sorted({key[:2] for key in self.counts}):
            rows.append(f"{kind + ', ' + way:20}{''.join(f'{self.counts[kind, way, head]:12}' for head in heads)}")
        return rows


def broken(count: int, seed: int, folder: Path, kinds: tuple[str, ...] = tuple(KINDS)) -> Table:
    """Break files, read them, and do what they hold."""
    table = Table()
    for kind in kinds:
        content, use = KINDS[kind]
        for number in range(count):
            chance = random.Random(f"{seed} {kind} {number}")
            way = chance.choice([*WAYS])
            file = folder / "broken.yaml"
            file.write_bytes(WAYS[way](content, chance))
            try:
                became = use(file)
            except DataError:
                became = "refused"
            except Exception:
                became = "unforeseen"
                table.unforeseen.append(f"{kind} {way} {seed} {number}: {traceback.format_exc(limit=-4)}")
            table.counts[kind, way, became] += 1
    return table


def main() -> None:
    count, seed = (int(word) for word in [*sys.argv[1:], *("1000", "1")[len(sys.argv) - 1 :]])
    with tempfile.TemporaryDirectory() as folder:
        table = broken(count, seed, Path(folder))
    print("\n".join([*table.lines(), *table.unforeseen[:20], f"unforeseen: {len(table.unforeseen)}"]))


if __name__ == "__main__":
    main()
