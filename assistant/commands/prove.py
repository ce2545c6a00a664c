"""Walks jobs on vehicles, two at a time, and tells which promise is broken, with the talk that leads there."""

from __future__ import annotations

import json
import multiprocessing
import shlex
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, wait
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from assistant import wiring
from assistant.core.errors import DataError, ReadingError
from assistant.core.job.vehicle_values import check_all, check_vehicle
from assistant.core.proof.dialogue import dialogue
from assistant.core.proof.explore import explore
from assistant.system.ending import FAILED

AT_ONCE = 2
"""So many walks at the same time: each fills a core."""
PAUSE = 1.0
"""After how long it is looked again how far the walks are [second]."""
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be walked, and how far."""

    job: str
    vehicle: str
    loops: int
    back: int
    most: int

    def __str__(self) -> str:
        return f"{Path(self.job).stem} on {Path(self.vehicle).stem}"


@dataclass(frozen=True, slots=True)
class Proof:
    """What a walk found: how much was walked, and each broken promise with the lines that lead there."""

    job: str
    vehicle: str
    states: int
    moves: int
    seconds: float
    broken: tuple[tuple[str, tuple[str, ...]], ...]


def proved(data: Path, wish: Wish, tell: Callable[[int], None]) -> Proof:
    """Walk one job on one vehicle."""
    began, shelf = time.perf_counter(), wiring.library(data)
    job = shelf.job(wish.job)
    car = shelf.vehicle(wish.vehicle, job)
    report = explore(job, car, loops=wish.loops, back=wish.back, most=wish.most, tell=tell)
    tongue = wiring.tongue(data) if report.broken else None
    found = [
        (fault.partition(": ")[0], dialogue(job, car, way, tongue) if tongue else ())
        for fault, way in zip(report.broken, report.ways, strict=True)
    ]
    return Proof(wish.job, wish.vehicle, report.states, report.moves, time.perf_counter() - began, tuple(found))


def wishes(data: Path, job: str | None, vehicle: str | None, far: tuple[int, int, int], tell: Tell) -> list[Wish]:
    """Return what is to be walked: each job on each vehicle that fits it, or those that are named."""
    shelf = wiring.library(data)
    jobs = [(job, shelf.job(job))] if job else [(one.id, one) for one in shelf.jobs()]
    cars = [(vehicle, shelf.vehicle(vehicle))] if vehicle else [(one.id, one) for one in shelf.vehicles()]
    tables, found = shelf.tables(), []
    for name, procedure in jobs:
        for car_name, car in cars:
            try:
                check_vehicle(procedure, car, tables)
                check_all(procedure, car, {})
                found.append(Wish(name, car_name, *far))
            except (DataError, ReadingError) as error:
                if vehicle and job:
                    raise DataError(str(error)) from error
                tell(f"left out: {name} on {car_name}: {error}")
    return found


_TOLD: Any = None
"""In a process that walks: where it tells how far it is."""


def _begin(told: Any) -> None:
    global _TOLD  # noqa: PLW0603 — a process that walks is given it once, when it begins
    _TOLD = told


def _walked(data: Path, wish: Wish) -> Proof:
    began = time.perf_counter()
    return proved(data, wish, lambda states: _TOLD.put(f"{wish}: {states} states, {time.perf_counter() - began:.0f} s"))


def proofs(data: Path, wanted: list[Wish], tell: Tell) -> Iterator[Proof]:
    """Yield what each walk found, in the order in which they end."""
    context = multiprocessing.get_context("spawn")
    told = context.SimpleQueue()
    with ProcessPoolExecutor(min(AT_ONCE, len(wanted)), context, _begin, (told,)) as pool:
        waiting: set[Future[Proof]] = {pool.submit(_walked, data, wish) for wish in wanted}
        try:
            while waiting:
                done, waiting = wait(waiting, PAUSE)
                while not told.empty():
                    tell(told.get())
                yield from (future.result() for future in done)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def prove(data: Path, wanted: list[Wish], show: Tell, note: Tell, *, as_json: bool) -> int:
    """Walk all that is wanted, show what was found, and return the exit code."""
    broken = 0
    for proof in proofs(data, wanted, note):
        broken += len(proof.broken)
        if as_json:
            show(json.dumps({**asdict(proof), "broken": _records(proof)}, ensure_ascii=False))
        else:
            show("\n".join(lines(proof)))
    return FAILED if broken else 0


def _records(proof: Proof) -> list[dict[str, Any]]:
    return [{"promise": promise, "dialogue": list(typed)} for promise, typed in proof.broken]


def lines(proof: Proof) -> Iterator[str]:
    """Yield what a walk found, for people: each broken promise with a command that leads there."""
    held = "every promise holds" if not proof.broken else f"{len(proof.broken)} broken"
    yield (f"{proof.job} on {proof.vehicle}: {proof.states} states, {proof.moves} moves, {proof.seconds:.1f} s: {held}")
    for promise, typed in proof.broken:
        yield f"- {promise}. It comes to that by:"
        yield f"assistant run {shlex.quote(proof.job)} --vehicle {shlex.quote(proof.vehicle)} --typed <<'END'"
        yield from typed
        yield "END"
