"""What a job promises for the person's safety, checked by bookkeeping of its own from the facts alone.

The engine derives what is allowed from its state; here the same is followed a second time, from what was said to have
happened, so that a fault of the engine does not hide itself. Each check yields the promise that is broken.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from assistant.core.data.car import EXPOSED, Act, Where
from assistant.core.data.step import Step
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.question import OF_STEP, Waiting, question
from assistant.core.job.state import State
from assistant.core.proof.book import ARCH, ENGINE, PLACE, UNDER, Book
from assistant.core.proof.leaving import broken_by_control
from assistant.core.quantities.units import Amount, convert

SUPPORT = frozenset({"firm-ground", "level-ground", "brake", "chocks", "support", "push-test"})
"""What must be shown by evidence before anyone goes under the car."""
PLACED = frozenset({"firm-ground", "level-ground"})
"""What of that is shown before the car is raised: the ground does not change under it."""
START = frozenset({"fresh-air", "neutral", "brake", "clear"})
"""What must be shown before an engine is started."""

_MOVES_ON = (e.StepDone, e.StepEntered, e.StepSkipped, e.PartClosed, e.EvidenceGiven, e.GatePassed, e.TorqueGiven,
             e.ValueTold, e.ReadingTaken, e.ChoiceMade, e.ClaimHeard, e.NewShown, e.AngleGiven, e.JobStopped,
             e.JobFinished)  # fmt: skip
"""Facts that move a job on."""


def moves_on(events: tuple[e.Event, ...]) -> bool:
    """Return whether facts move a job on."""
    return any(isinstance(event, _MOVES_ON) for event in events)


def broken_by(state: State, book: Book, event: e.Event) -> Iterator[str]:
    """Yield what a fact breaks that meets the job in a state."""
    if isinstance(event, e.StepBegun):
        yield from _broken_by_acts(state, book, state.procedure.step(event.step))
    yield from broken_by_control(state, book.leaving, book.new, event)
    if isinstance(event, e.JobFinished):
        touched = [part for part in state.procedure.parts if part.id in book.touched]
        loose = {part.id for part in touched if part.torque} - book.tightened
        loose |= {part.id for part in touched if part.angle} - book.turned
        if book.open or loose:
            yield f"finished with {', '.join(sorted(book.open | loose))} not closed to its torque"
        if book.running:
            yield "finished with the engine running"
        if book.up or book.maybe_up:
            yield "finished with the car not on the ground"


def _broken_by_acts(state: State, book: Book, step: Step) -> Iterator[str]:
    if Act.RAISING in step.acts and not {proof for gate, proof in book.proofs if gate == PLACE} >= PLACED:
        yield f"told to raise the car without {', '.join(sorted(PLACED))}"
    open_here = book.open.difference(step.allows)  # a declared exception, of this step alone
    blocking = sorted(part for part in open_here if set(step.acts).intersection(state.procedure.part(part).blocks))
    if blocking:
        yield f"told to do {step.id} with {', '.join(blocking)} open"
    for name, fluid in state.procedure.fluids.items():
        if set(fluid.needed_by).intersection(step.acts) and (fault := _unfit(state, book, name)):
            yield f"told to do {step.id} with {fault}"
    if Act.STARTING in step.acts:
        shown = {proof for _, proof in book.proofs}
        if not shown >= START or ENGINE not in book.confirmed:
            yield f"told to start the engine without {', '.join(sorted(START - shown)) or 'confirmation'}"
        if book.gear:
            yield "told to start the engine in gear"


def _unfit(state: State, book: Book, name: str) -> str:
    """Return what is wrong with how much of a fluid is in; nothing where that may be. Worked out in litres."""
    fluid = state.procedure.fluids[name]
    poured = [litres for *_, of, litres in book.poured if of == name]
    levels = [one for one in book.levels if one[2] == name]
    if levels and fluid.span:
        *_, low, high, place = levels[-1]
        since = sum(poured[place:], Decimal(0)) / _litres(known.value(state, fluid.span))
        return "too little in it" if high + since < -_EXACT else _much(low + since > 1 + _EXACT)
    if name not in book.drained:
        return ""
    least, capacity = (_litres(known.value(state, each)) for each in (fluid.least, fluid.capacity))
    total = sum(poured, Decimal(0))
    return "too little in it" if total < least - _EXACT else _much(total > capacity + _EXACT)


_EXACT = Decimal("1e-9")
"""What conversions between units may be off [litre, share]."""


def _much(too_much: bool) -> str:
    return "too much in it" if too_much else ""


def _litres(value: Amount) -> Decimal:
    return convert(value, "litre").magnitude


def broken_in(state: State, book: Book) -> Iterator[str]:
    """Yield what is broken in a state where the person was told to do the step."""
    if question(state).waiting not in OF_STEP:
        return
    step = state.here
    if step.where in EXPOSED:
        yield from _broken_under(book, step)
    if step.where is Where.DRIVE and question(state).waiting not in (Waiting.NEXT, Waiting.TIME):
        yield f"asked something while the car moves, at {step.id}"
    touches = bool(step.opens or step.closes or step.tighten)
    if book.running and (touches or step.drains):
        yield f"told to work at a part with the engine running, at {step.id}"
    if book.running and step.where in (Where.BESIDE, Where.BAY, Where.BENCH):
        if not book.brake:
            yield f"out of the seat with the engine running and the brake not on, at {step.id}"
        if book.gear:
            yield f"out of the seat with the engine running in gear, at {step.id}"


def _broken_under(book: Book, step: Step) -> Iterator[str]:
    where = "under the car" if step.where is Where.UNDER else "with an arm in a wheel arch"
    gates = {UNDER} if step.where is Where.UNDER else {UNDER, ARCH}
    shown = {proof for gate, proof in book.proofs if gate in {*gates, PLACE}}
    if not shown >= SUPPORT:
        yield f"{where} without {', '.join(sorted(SUPPORT - shown))}"
    if PLACE not in book.confirmed or not gates & book.confirmed:
        yield f"{where} without confirmation of the evidence"
    if not book.up:
        yield f"{where} while it does not surely stand raised"
    if book.running:
        yield f"{where} with the engine running"
