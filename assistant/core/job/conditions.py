"""Whether the car allows what a step needs: conditions where the person will be, and open parts that block it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from assistant.core.data.car import EXPOSED, Act, Condition, Exposure, Way, Where
from assistant.core.data.control import SafeEnd
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job import filling, known
from assistant.core.job.state import State
from assistant.core.quantities.saying import capital


@dataclass(frozen=True, slots=True)
class Unmet:
    """A condition that has to hold and does not, or must not hold and may."""

    condition: Condition
    wanted: bool


def unmet(state: State, step: Step) -> Unmet | None:
    """Return the first condition that stands against doing a step now; None where nothing does."""
    return next(all_unmet(state, step), None)


def all_unmet(state: State, step: Step) -> Iterator[Unmet]:
    """Yield the conditions that stand against doing a step now, first what has to be known before the others."""
    found = tuple(_all_found(state, step))
    if found and state.forgotten:
        yield from _first_known(state)
    yield from found


def _first_known(state: State) -> Iterator[Unmet]:
    """Yield the hazards on which it rests what may be asked for, where the record lost how they are.

    Nobody may be told to put a car in neutral that its gear holds, because its engine might be running.
    """
    job = state.procedure
    ways = (way for one in job.conditions for way in (*one.begin, *one.end))
    tags = {tag for one in (*job.exposure, *ways) for tag in (*one.when, *one.unless)}
    for condition in job.conditions:
        if condition.hazard and condition.id in tags & state.forgotten:
            yield Unmet(condition, False)


def ways_of(state: State, found: Unmet) -> tuple[Way, ...]:
    """Return the ways to bring about, or to end, what stands against a step; none that presume what was forgotten."""
    return found.condition.ways(found.wanted, known.tags(state) - state.forgotten)


def _all_found(state: State, step: Step) -> Iterator[Unmet]:
    for name in _never(state, step):
        if name in state.possible and not _is_its_own(state, step, name):
            yield Unmet(state.procedure.condition(name), False)
    for name in _holds(state, step):
        if name not in state.conditions and not _is_its_own(state, step, name):
            yield Unmet(state.procedure.condition(name), True)
    yield from _shaken(state, step)


_NEAR_IT = (*EXPOSED, Where.BESIDE, Where.BAY)
"""Where a car that moved can hurt. What is done in its seat, the engine switched off among it, must not wait."""


def _shaken(state: State, step: Step) -> Iterator[Unmet]:
    """Yield what has to be made safe again before anything is done at a car that somebody said is not safe.

    What a check that comes before the step will ask for anyway is not asked for twice.
    """
    checks = (state.procedure.gate(name) for name in step.needs if name not in state.gates)
    asked = {name for gate in checks for ask in gate.asks for name in ask.sets}
    wanted = state.shaken - state.conditions - asked - _yet_to_come(state)
    for one in state.procedure.conditions if wanted and step.where in _NEAR_IT else ():
        if one.id in wanted and not _is_its_own(state, step, one.id):
            yield Unmet(one, True)


def _yet_to_come(state: State) -> frozenset[str]:
    """Return what only steps bring about that are not on the way here: who went back before them does them again."""
    done = {name for id_ in state.path for name in state.procedure.step(id_).sets}
    return frozenset(name for step in state.procedure.steps for name in step.sets) - done


def unmet_at_end(state: State, end: SafeEnd) -> Unmet | None:
    """Return the first condition that stands against leaving the car so; None where nothing does."""
    condition = state.procedure.condition
    found = [Unmet(condition(name), False) for name in end.never if name in state.possible]
    found += [Unmet(condition(name), True) for name in end.holds if name not in state.conditions]
    first = _first_known(state) if found and state.forgotten else ()
    return next(chain(first, found), None)


def may_be_under(state: State) -> bool:
    """Return whether the person may be under the car, or have an arm in its arch, also while the job is put aside."""
    return state.here.where in EXPOSED and not state.out and not state.finished_at


def driving(state: State) -> bool:
    """Return whether the person may be driving: then nothing is asked."""
    return state.here.where is Where.DRIVE and state.begun and not (state.parked or state.finished_at)


def _is_its_own(state: State, step: Step, name: str) -> bool:
    """Return whether the step itself, which has begun, is what ended the condition, or brought it about."""
    return state.begun and (name in step.ends or name in step.sets)


def _never(state: State, step: Step) -> tuple[str, ...]:
    rules = [name for rule in _rules(state, step) for name in rule.never]
    return tuple(dict.fromkeys((*step.never, *rules)))


def _holds(state: State, step: Step) -> tuple[str, ...]:
    rules = [name for rule in _rules(state, step) for name in rule.holds]
    return tuple(dict.fromkeys((*step.holds, *rules)))


def _rules(state: State, step: Step) -> Iterator[Exposure]:
    tags = known.tags(state)
    return (rule for rule in rules_of(state.procedure, step) if rule.applies(tags))


def rules_of(procedure: Procedure, step: Step) -> Iterator[Exposure]:
    """Return the exposures that are for a step, in whatever circumstances."""
    touches = bool(step.opens or step.closes or step.tighten)
    return (rule for rule in procedure.exposure if step.where in rule.where or (rule.parts and touches))


def never_at(procedure: Procedure, step: Step) -> frozenset[str]:
    """Return what must not hold at a step, whatever else does."""
    rules = [name for rule in rules_of(procedure, step) if not rule.when and not rule.unless for name in rule.never]
    return frozenset((*step.never, *rules))


def blocked(state: State, step: Step) -> str:
    """Return why a step must not be done to the car now: an open part, too little or too much fluid; else nothing.

    Parts that the step declares that it allows do not block it.
    """
    acts = set(step.acts)
    still_open = (part for part in state.ledger.open_in(state.procedure) if part.id not in step.allows)
    blocking = [part for part in still_open if acts.intersection(part.blocks)]
    why = f"Still open: {', '.join(part.name for part in blocking)}." if blocking else filling.unfit(state, step)
    what = "The engine must not run yet." if Act.RUNNING in acts else _stays(state)
    return f"{what} {why}" if why else ""


def _stays(state: State) -> str:
    return f"{capital(state.vehicle.called)} must stay as it is."
