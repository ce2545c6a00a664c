"""What of a job's past anything may still look at: its live choices, and the end of its way. Only tells; walks nothing.

A choice is live at a step where some way on asks for it before it is made anew; one that is not can be left out of
what tells states apart. The end of the way is live as far back as one may still go; of what lies before only counts
which conditions it brought about, and where a gated one was.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from functools import cached_property

from assistant.core.data.base import Tagged
from assistant.core.data.procedure import Procedure
from assistant.core.data.step import Step
from assistant.core.job import known
from assistant.core.job.conditions import rules_of
from assistant.core.job.moving import rounds
from assistant.core.job.state import State
from assistant.core.job.worked import parts_of
from assistant.core.proof.ways import END, following


class LookedAt:
    """What of the past counts in a procedure."""

    def __init__(self, procedure: Procedure) -> None:
        self._procedure = procedure
        self._steps = {step.id: step for step in procedure.steps}

    def past(self, state: State, further: int) -> Hashable:
        """Return what of the past counts in a state from which one goes back so many times at most."""
        place = self.furthest(state, further)
        end = state.path[place:]
        live = frozenset().union(*(self._live[step] for step in end))
        went = tuple(rounds(state, step) for step in self._procedure.steps if step.repeat)
        return (
            end,
            self._before(state.path[:place]),
            self._gated(state.path[:-1]),
            went,
            self._choices(state, end, live),
        )

    def furthest(self, state: State, times: int) -> int:
        """Return the place on the way to which one comes by going back so many times."""
        place = len(state.path) - 1
        filled = {name for name in state.drained if known.poured(state, name).magnitude > 0}
        for _ in range(min(times, place)):
            if place:
                place = self._drains(state.path, place, filled)
        return place

    def _drains(self, path: tuple[str, ...], place: int, filled: set[str]) -> int:
        """Return where going back leads to (see `undoing`): to where a fluid that is in was let out, or one back."""
        closes = self._steps[path[place - 1]].closes
        for other in range(place - 1, -1, -1) if filled else ():
            step = self._steps[path[other]]
            if step.drains in filled and set(step.opens).intersection(closes):
                return other
        return place - 1

    def _before(self, path: Iterable[str]) -> frozenset[str]:
        return frozenset(name for step in path for name in self._steps[step].sets)

    def _gated(self, path: tuple[str, ...]) -> Hashable:
        """Return which step on the way last brought each gated condition about."""
        names = [one.id for one in self._procedure.conditions if one.gated]
        return tuple(next((step for step in reversed(path) if name in self._steps[step].sets), "") for name in names)

    def _choices(self, state: State, end: tuple[str, ...], live: frozenset[str]) -> Hashable:
        """Return the live choices; of one made at the end of the way also those before it, which going back bares."""
        made = [step.choice.name for step in (self._steps[name] for name in end) if step.choice]
        told: dict[str, list[str]] = {}
        for name, option in state.choices:
            told.setdefault(name, []).append(option)
        return tuple((name, *told[name][-made.count(name) - 1 :]) for name in sorted(told) if name in live)

    @cached_property
    def _names(self) -> frozenset[str]:
        return frozenset(step.choice.name for step in self._procedure.steps if step.choice)

    @cached_property
    def _live(self) -> dict[str, frozenset[str]]:
        """Which choices are live at each step: the smallest answer to what follows from its followers."""
        leads = following(self._procedure)
        back = {step.id for step in self._procedure.steps if self._sets_gated(step)}
        always = self._asked(way for one in self._procedure.conditions for way in (*one.begin, *one.end))
        always |= self._judged()
        live = {name: always | self._asked(self._at(step)) for name, step in self._steps.items()}
        changed = True
        while changed:
            changed = False
            for name, step in self._steps.items():
                after = (leads[name] | back) - {END}
                ahead = frozenset().union(*(live[other] | self._asked([self._steps[other]]) for other in after))
                made = {step.choice.name} if step.choice and not step.optional else set()
                more = live[name] | (ahead - made)
                changed, live[name] = changed or more != live[name], more
        return live

    def _judged(self) -> frozenset[str]:
        """Return the choices that something is worked out from, or that are findings: those count up to the end."""
        parts = {part for one in self._procedure.computed.values() for given in one.inputs.values()
                 for part in parts_of(given)}  # fmt: skip
        graded = {step.choice.name for step in self._procedure.steps if step.choice
                  and (step.finding or any(option.grade or option.stop for option in step.choice.options))}  # fmt: skip
        by = {step.finding.by for step in self._procedure.steps if step.finding and step.finding.by}
        until = self._asked(Tagged(when=step.repeat.until) for step in self._procedure.steps if step.repeat)
        return frozenset((parts | by) & self._names) | graded | until

    def _sets_gated(self, step: Step) -> bool:
        return any(self._procedure.condition(name).gated for name in step.sets)

    def _at(self, step: Step) -> Iterator[Tagged]:
        yield from rules_of(self._procedure, step)
        yield from (ask for gate in step.needs for ask in self._procedure.gate(gate).asks)

    def _asked(self, items: Iterable[Tagged]) -> frozenset[str]:
        tags = {tag for item in items for tag in (*item.when, *item.unless)}
        return frozenset(name for name in self._names if any(tag.startswith(f"{name}:") for tag in tags))
