"""How a job moves from step to step: reaching, beginning, ending and reopening steps, and what follows with them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import takewhile

from assistant.core.data.car import EXPOSED, Act
from assistant.core.data.catalogue import NO_SUMS, Sums
from assistant.core.data.gate import Gate
from assistant.core.data.step import Step
from assistant.core.job import events as e
from assistant.core.job import known
from assistant.core.job.state import State, evolve


class Draft:
    """Facts being decided, and the state as they would make it."""

    def __init__(self, state: State, at: datetime, sums: Sums = NO_SUMS) -> None:
        self.state = state
        self.at = at
        self.sums = sums
        self.events: list[e.Event] = []

    def add(self, event: e.Event) -> None:
        """Append a fact."""
        self.events.append(event)
        self.state = evolve(self.state, event, self.at)


def first_step(state: State) -> str:
    """Return the id of the first step that applies."""
    tags = known.tags(state)
    return next(step.id for step in state.procedure.steps if step.applies(tags))


def begin(draft: Draft) -> None:
    """Tell the person to do the present step, with what that may bring about at once.

    Hazards that it sets count from now on, and what it ends can't be relied on any more.
    """
    step = draft.state.here
    draft.add(e.StepBegun(step.id))
    for act in step.acts:
        let_gates_fall(draft, act)
    _change(draft, [name for name in step.sets if _is_hazard(draft, name)], holds=True)
    _change(draft, [name for name in step.ends if not _is_hazard(draft, name)], holds=None)
    if step.acts:
        for name in step.sets:
            _may_hold(draft, name)
    if {Act.RAISING, Act.LOWERING}.intersection(step.acts):  # on whatever it stands, it moves there
        _change(draft, sorted(_supports(draft).intersection(draft.state.conditions)), holds=None)
    if step.wait:
        draft.add(e.TimerStarted(step.id, draft.at + timedelta(minutes=step.wait.minutes)))


def take_up_time(draft: Draft) -> None:
    """Take up the time that ran when the job was put aside, or the program ended.

    What passed meanwhile counts: for each wait, longer is the safe way. Where the clock was set back, the end would be
    further away than the whole wait: then it begins anew, for nobody knows how much of it has passed.
    """
    for timer in draft.state.timers:
        longest = timer.whole(draft.state.procedure)
        if timer.due - draft.at > longest:
            draft.add(e.TimerStarted(timer.name, draft.at + longest, timer.minutes))
        elif timer.due <= draft.at:
            draft.add(e.TimerEnded(timer.name))


def _supports(draft: Draft) -> set[str]:
    """Return the conditions that carry a car under which somebody is."""
    rules = [
        rule
        for rule in draft.state.procedure.exposure
        if EXPOSED.intersection(rule.where) and (rule.when or rule.unless)
    ]
    return {name for rule in rules for name in rule.holds if not _is_hazard(draft, name)}


def _is_hazard(draft: Draft, name: str) -> bool:
    return draft.state.procedure.condition(name).hazard


def _change(draft: Draft, names: Iterable[str], *, holds: bool | None) -> None:
    for name in names:
        change(draft, name, holds=holds)


def change(draft: Draft, name: str, *, holds: bool | None, said: bool = False) -> None:
    """Let a condition hold, or no longer, or be unsure; the gates that rest on it fall with it."""
    if holds is None and name not in draft.state.possible:
        return  # what surely does not hold does not begin to by being taken back
    before = None if name in draft.state.unsure else name in draft.state.conditions
    if before is holds:
        return
    draft.add(e.ConditionChanged(name, holds, said))
    let_gates_fall(draft, f"{name}:{'holds' if holds else 'over'}")


def complete(draft: Draft) -> None:
    """End the present step with its effects, and go on; refused where it would end the job with something open."""
    step = draft.state.here
    trial = Draft(draft.state, draft.at)
    _effects(trial, step)
    if following(trial.state, step) is None and trial.state.ledger.parts:
        names = ", ".join(part.name for part in trial.state.ledger.open_in(draft.state.procedure))
        draft.add(e.Refused("open", f"The job can't end yet. Still open: {names}. Say: go back one step."))
        return
    for event in trial.events:
        draft.add(event)
    go_on(draft, step)


def _effects(draft: Draft, step: Step) -> None:
    draft.add(e.StepDone(step.id))
    for part in step.opens:
        _open(draft, part)
    for part in step.closes:
        draft.add(e.PartClosed(part))
    if step.drains:
        draft.add(e.Drained(step.drains))
    _change(draft, step.ends, holds=False)
    _change(draft, step.sets, holds=True)


def _open(draft: Draft, part: str) -> None:
    draft.add(e.PartOpened(part))
    if draft.state.procedure.part(part).blocks:
        let_gates_fall(draft, "opened")


def let_gates_fall(draft: Draft, cause: str) -> None:
    """Let every gate fall whose permission ends with that cause, and forget the evidence given towards it."""
    for gate in draft.state.procedure.gates:
        if cause in gate.falls_on:
            let_gate_fall(draft, gate, cause)


def let_gate_fall(draft: Draft, gate: Gate | None, cause: str) -> None:
    """Let a gate fall, if it stands or any evidence was given towards it."""
    state = draft.state
    if gate and (gate.id in state.gates or any(key[0] == gate.id for key in state.evidence)):
        draft.add(e.GateFell(gate.id, cause))


def following(state: State, step: Step) -> str | None:
    """Return the id of the step after that one which applies; None at the end."""
    steps = state.procedure.steps
    tags = known.tags(state)
    named = _repeated(state, step) or step.then
    start = next(index for index, other in enumerate(steps) if other.id == (named or step.id))
    candidates = steps[start + (0 if named else 1) :]
    return next((other.id for other in candidates if other.applies(tags)), None)


def _repeated(state: State, step: Step) -> str | None:
    """Return where a step that repeats leads: back, or out after the last round; None where it is so at last."""
    repeat = step.repeat
    if not repeat or known.tags(state).issuperset(repeat.until):
        return None
    return repeat.to if rounds(state, step) < repeat.most else repeat.out


def rounds(state: State, step: Step) -> int:
    """Return how many rounds of a step that repeats the way has gone, the present one counted.

    They are counted from where the way last came from a step that is not repeated: each time it is reached anew, all
    of them are to be had again; and whoever goes back takes back the rounds that led there.
    """
    order = [other.id for other in state.procedure.steps]
    assert step.repeat
    repeated = {*order[order.index(step.repeat.to) : order.index(step.id) + 1]}
    way = takewhile(repeated.__contains__, reversed(state.path))
    return sum(name == step.id for name in way)


def go_on(draft: Draft, step: Step) -> None:
    """Lead on from a step that ended; the job is finished where none follows."""
    name = following(draft.state, step)
    draft.add(e.StepEntered(name) if name else e.JobFinished())


def lead_back(draft: Draft, condition: str) -> None:
    """Lead the person to the last step on the way that brought a condition about, to do it again, if there is one."""
    for name in reversed(draft.state.path[:-1]):
        if condition in draft.state.procedure.step(name).sets:
            draft.add(e.StepEntered(name))
            return


def reopen(draft: Draft, target: int) -> None:
    """Go back to a place of the way, taking back with care all that was done since, the step there included.

    A way that repeats steps has several places of one step.
    """
    path = draft.state.path
    for place in range(len(path) - 2, target - 1, -1):
        _take_back(draft, draft.state.procedure.step(path[place]), path[:place])
    draft.add(e.StepReopened(path[target], target))


def last_place(path: Sequence[str], step: str) -> int | None:
    """Return the last place of a way where a step is, before the present one; None where it is not."""
    return next((place for place in range(len(path) - 2, -1, -1) if path[place] == step), None)


def _take_back(draft: Draft, step: Step, before: Sequence[str]) -> None:
    """Take back what a step did, as far as it can't be relied on any more.

    What was poured in is in, and what was read was there to be read: a step that is done again brings a newer reading,
    and only the person's word takes one back. What the step did to the car may be undone by their hands or not: what
    made it safe no longer counts, what made it dangerous may.
    """
    reading = step.reading
    if reading and reading.removes and any(one.step == step.id for one in draft.state.readings):
        draft.add(e.ReadingWithdrawn(step.id, reading.name))  # it is asked for anew, and not to be counted twice
    if step.choice and step.choice.name in dict(draft.state.choices):
        draft.add(e.ChoiceWithdrawn(step.choice.name))
    for part in step.closes:
        _open(draft, part)
    for act in step.acts:
        let_gates_fall(draft, act)
    _change(draft, [name for name in step.sets if not _is_hazard(draft, name)], holds=None)
    brought_about = {name for other in before for name in draft.state.procedure.step(other).sets}
    for name in step.ends:
        if step.acts or name in brought_about:
            _may_hold(draft, name)


def _may_hold(draft: Draft, name: str) -> None:
    """Let a condition count that may hold: that is about to be brought about, or was said to be over too soon."""
    if name not in draft.state.possible:
        draft.add(e.ConditionChanged(name, True if _is_hazard(draft, name) else None))
