"""The book that the promises are held against: what is noted from the facts alone, a second time beside the engine."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import TypeVar

from assistant.core.data.car import Act
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job import events as e
from assistant.core.job.state import State
from assistant.core.proof.judged import Judged, judged
from assistant.core.proof.leaving import Leaving
from assistant.core.quantities.units import Level, convert

UNDER, ARCH, ENGINE, PLACE = "under-car", "wheel-arch", "start-engine", "place"
"""The gates that every job calls so."""
RUNNING, GEAR, BRAKE = "engine-running", "in-gear", "brake-on"
UP = frozenset({"on-stands", "on-ramps"})
_MOVES_THE_CAR = frozenset({Act.RAISING, Act.LOWERING, Act.DRIVING})


@dataclass(frozen=True, slots=True)
class Book:
    """What is noted from the facts."""

    proofs: frozenset[tuple[str, str]] = frozenset()
    """What was shown, each with the gate that asked."""
    confirmed: frozenset[str] = frozenset()
    """The gates whose evidence was confirmed by name."""
    up: frozenset[str] = frozenset()
    """On what the car stands raised, surely."""
    maybe_up: frozenset[str] = frozenset()
    """On what it may stand raised, or half so."""
    running: bool = False
    """Whether the engine may run."""
    gear: bool = False
    """Whether a gear may be in."""
    brake: bool = False
    """Whether the parking brake is on, surely."""
    open: frozenset[str] = frozenset()
    tightened: frozenset[str] = frozenset()
    turned: frozenset[str] = frozenset()
    """The parts that were turned further after their torque."""
    new: frozenset[str] = frozenset()
    """The parts of which it was said that what may be used once only is new."""
    leaving: Leaving = field(default_factory=Leaving)
    touched: frozenset[str] = frozenset()
    drained: frozenset[str] = frozenset()
    poured: tuple[tuple[str, str, str, Decimal], ...] = field(default=(), compare=False)
    """Each pour since its fluid ran out, less what came out: its step, its name, its fluid, its litres."""
    levels: tuple[tuple[str, str, str, Decimal, Decimal, int], ...] = field(default=(), compare=False)
    """Each reading of a level: its step, its name, its fluid, its ends, and after how many pours of it it was taken."""
    judged: Judged = field(default=Judged(), compare=False)
    """What was read off and chosen."""


def looked_at_of(procedure: Procedure, book: Book) -> Hashable:
    """Return what of a book any promise may still look at: of the parts, which are open or not fastened as they are to
    be."""
    touched = [part for part in procedure.parts if part.id in book.touched]
    loose = frozenset(part.id for part in touched if part.torque and part.id not in book.tightened)
    unturned = frozenset(part.id for part in touched if part.angle and part.id not in book.turned)
    return (book.proofs, book.confirmed, book.up, book.maybe_up, book.running, book.gear, book.brake, book.open, loose,
            unturned, book.new, book.leaving, book.drained)  # fmt: skip


def noted(state: State, book: Book, event: e.Event) -> Book:
    """Return the book after one more fact, which meets the job in a state."""
    leaving, found = book.leaving.noted(state, event), judged(state, book.judged, event)
    book = _noted(state, book, event)
    if leaving is book.leaving and found is book.judged:
        return book
    return replace(book, judged=found, leaving=leaving)


def _noted(state: State, book: Book, event: e.Event) -> Book:
    match event:
        case e.EvidenceGiven() | e.EvidenceWithdrawn():
            return _shown(state, book, event)
        case e.StepBegun(step):
            return _begun(book, state.procedure.step(step))
        case e.StepDone(step):
            return _done(book, state.procedure.step(step))
        case e.StepReopened(step):
            return _reopened(book, state, step)
        case e.ConditionChanged(condition, holds, True):
            return _said(book, condition, holds)
        case e.TailLost():
            return replace(book, proofs=frozenset(), confirmed=frozenset(), up=frozenset(), maybe_up=UP, running=True,
                           gear=True, brake=False)  # fmt: skip
        case _:
            return _of_gates(_of_parts(book, event), event)


def _shown(state: State, book: Book, event: e.EvidenceGiven | e.EvidenceWithdrawn) -> Book:
    proves = next(item.proves for item in state.procedure.gate(event.gate).asks if item.id == event.ask)
    shown = {(event.gate, proof) for proof in proves}
    if isinstance(event, e.EvidenceWithdrawn):
        return replace(book, proofs=book.proofs - shown)
    return replace(
        book,
        proofs=book.proofs | shown,
        gear=book.gear and "neutral" not in proves,
        brake=book.brake or "brake" in proves,
    )


def _of_gates(book: Book, event: e.Event) -> Book:
    match event:
        case e.GatePassed(gate):
            return replace(book, confirmed=book.confirmed | {gate})
        case e.GateFell(gate):
            proofs = frozenset(one for one in book.proofs if one[0] != gate)
            return replace(book, proofs=proofs, confirmed=book.confirmed - {gate})
        case _:
            return book


def _begun(book: Book, step: Step) -> Book:
    """What a step may bring about counts from its beginning, and what it ends can't be relied on."""
    moves = bool(_MOVES_THE_CAR.intersection(step.acts))
    begun = replace(
        book,
        running=book.running or RUNNING in step.sets,
        gear=book.gear or GEAR in step.sets,
        brake=book.brake and BRAKE not in step.ends,
        up=frozenset() if moves else book.up,
        maybe_up=book.maybe_up | book.up | UP.intersection(step.sets) if moves else book.maybe_up,
    )
    ends = {UNDER, ARCH, *([PLACE] if Act.LOWERING in step.acts else [])}
    return replace(begun, proofs=frozenset(one for one in book.proofs if one[0] not in ends)) if moves else begun


def _done(book: Book, step: Step) -> Book:
    done = replace(
        book,
        running=book.running and RUNNING not in step.ends,
        brake=book.brake or BRAKE in step.sets,
        up=book.up.union(UP.intersection(step.sets)) - {*step.ends},
        maybe_up=book.maybe_up - {*step.sets, *step.ends},
        touched=book.touched | {*step.opens},
    )
    if not step.drains:
        return done
    poured = tuple(one for one in book.poured if one[2] != step.drains)
    levels = tuple(one for one in book.levels if one[2] != step.drains)
    return replace(done, drained=book.drained | {step.drains}, poured=poured, levels=levels)


def _reopened(book: Book, state: State, target: str) -> Book:
    """Going back over a step that raised or lowered the car, or set the brake: nobody knows any more how it stands."""
    index = len(state.path) - 1 - state.path[::-1].index(target)
    passed = [state.procedure.step(name) for name in state.path[index:-1]]
    sets = {name for step in passed for name in step.sets}
    return replace(
        book,
        up=book.up - sets,
        maybe_up=book.maybe_up
        | UP & sets
        | UP.intersection(name for step in passed if step.acts for name in step.ends),
        brake=book.brake and BRAKE not in sets,
    )


def _said(book: Book, condition: str, holds: bool | None) -> Book:
    match condition:
        case _ if condition in UP:
            name = {condition}
            gone = UP if holds else name  # who says that it stands on stands says that it does not stand on ramps
            return replace(book, up=book.up | name if holds else book.up - name, maybe_up=book.maybe_up - gone)
        case "engine-running":
            return replace(book, running=bool(holds))
        case "in-gear":
            return replace(book, gear=bool(holds))
        case "brake-on":
            return replace(book, brake=bool(holds))
        case _:
            return book


def _of_parts(book: Book, event: e.Event) -> Book:
    match event:
        case e.PartOpened(part):
            return replace(
                book, open=book.open | {part}, tightened=book.tightened - {part}, touched=book.touched | {part},
                turned=book.turned - {part}, new=book.new - {part},
            )  # fmt: skip
        case e.PartClosed(part):
            return replace(book, open=book.open - {part})
        case e.TorqueGiven(part):
            return replace(book, tightened=book.tightened | {part})
        case e.TorqueWithdrawn() | e.AngleGiven() | e.NewShown() | e.NewWithdrawn():
            return _of_fastening(book, event)
        case e.ConditionChanged(condition, True, False) if condition == RUNNING:
            return replace(book, running=True)
        case e.ConditionChanged(condition, True, False) if condition == GEAR:
            return replace(book, gear=True)
        case e.ReadingTaken() | e.ReadingWithdrawn():
            return _of_fluid(book, event)
        case _:
            return book


def _of_fastening(book: Book, event: e.TorqueWithdrawn | e.AngleGiven | e.NewShown | e.NewWithdrawn) -> Book:
    part = {event.part}
    match event:
        case e.TorqueWithdrawn():
            return replace(book, tightened=book.tightened - part)
        case e.AngleGiven():
            return replace(book, turned=book.turned | part)
        case e.NewShown():
            return replace(book, new=book.new | part)
        case _:
            return replace(book, new=book.new - part)


def _of_fluid(book: Book, event: e.ReadingTaken | e.ReadingWithdrawn) -> Book:
    if isinstance(event, e.ReadingWithdrawn):
        key = (event.step, event.name)
        return replace(book, poured=_without_last(book.poured, key), levels=_without_last(book.levels, key))
    if isinstance(event.value, Level):
        before = sum(one[2] == event.of for one in book.poured)
        read = (event.step, event.name, event.of, event.value.lowest, event.value.highest, before)
        return replace(book, levels=(*book.levels, read))
    if not (event.adds or event.removes):
        return book
    litres = convert(event.value, "litre").magnitude * (1 if event.adds else -1)
    return replace(book, poured=(*book.poured, (event.step, event.name, event.of, litres)))


Noted = TypeVar("Noted", bound=tuple[object, ...])


def _without_last(noted: tuple[Noted, ...], key: tuple[str, str]) -> tuple[Noted, ...]:
    """Return what was noted without the newest of a step and a name."""
    place = max((index for index, one in enumerate(noted) if one[:2] == key), default=None)
    return noted if place is None else (*noted[:place], *noted[place + 1 :])
