"""The states that a walk came to, and which leads to which: states that nothing tells apart any more are one."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

from assistant.core.data.procedure import Procedure
from assistant.core.job import known
from assistant.core.job.filling import bounds_broken, fill_of
from assistant.core.job.state import State
from assistant.core.proof.book import Book, looked_at_of
from assistant.core.proof.looked_at import LookedAt
from assistant.core.types import Intent

EVER = 1_000_000
"""So often nobody goes back."""


@dataclass(frozen=True, slots=True)
class Move:
    """One move of a walk: what is meant, in this order, or that time passes."""

    label: str
    meant: tuple[Intent, ...] = ()
    passes: bool = False

    def __str__(self) -> str:
        """Return how it is shown."""
        return self.label


Way = tuple[Move, ...]


@dataclass(slots=True)
class Report:
    """What was found: how much was walked, and every broken promise with a shortest way to it."""

    states: int = 0
    moves: int = 0
    broken: list[str] = field(default_factory=list)
    ways: list[Way] = field(default_factory=list)
    """The way to each broken promise, as it can be walked again."""
    finished: int = 0

    def note(self, fault: str, way: Way) -> None:
        """Keep a broken promise with the way to it, each promise once: the first way is a shortest one."""
        if not any(known.startswith(f"{fault}:") for known in self.broken):
            self.broken.append(f"{fault}: {' / '.join(map(str, way))}")
            self.ways.append(way)


@dataclass(slots=True)
class Node:
    """A state, what was noted on a way to it, and that way."""

    state: State
    book: Book
    way: Way
    further: int = 0
    """How often one may still go back from here."""


class Graph:
    """The states that were walked, and which leads to which."""

    def __init__(self, procedure: Procedure, loops: int, back: int) -> None:
        self.nodes: dict[Hashable, Node] = {}
        self._order = {step.id: place for place, step in enumerate(procedure.steps)}
        self._loops, self._back = loops, back
        self._looked_at = LookedAt(procedure)
        self._covered: dict[Hashable, Hashable] = {}
        """Keys of states from which one may go back less often, by that of the same state with more."""
        self._amounts: dict[Hashable, Hashable] = {}
        self._before: dict[Hashable, set[Hashable]] = {}
        self._cut: dict[Hashable, set[Hashable]] = {}
        """Where a move would have led that was not walked: how a job stands there, and from which states."""

    def add(self, node: Node) -> Hashable:
        """Keep a state, if it is new, and return its key."""
        rest = key_of(node, self._stands_at), loops_of(node.state, self._order)
        key = (rest, self._looked_at.past(node.state, node.further), node.further)
        if key in self._covered:
            return self._covered[key]
        self.nodes[key] = node
        for further in range(node.further if node.further < EVER else 0):
            self._covered.setdefault((rest, self._looked_at.past(node.state, further), further), key)
        self._covered[key] = key
        return key

    def _stands_at(self, state: State) -> Hashable:
        """Return what `amounts_of` does, worked out once for the same readings."""
        told = tuple(sorted((name, str(spec.value)) for name, spec in state.told.items()))
        read = tuple(replace(one, at=state.opened_at) for one in state.readings)
        known = (state.step, state.drained, state.unknown, told, read)
        if known not in self._amounts:
            self._amounts[known] = amounts_of(state)
        return self._amounts[known]

    def lead(self, key: Hashable, follower: Node) -> Hashable:
        """Note that a state leads to another; a loop too many, or too far back, is not followed."""
        node = self.nodes[key]
        further = self._further(node, follower)
        if further < 0 or loops_of(follower.state, self._order) > self._loops:
            self._cut.setdefault(_stands(follower.state), set()).add(key)
            return key
        other = self.add(replace(follower, further=further))
        self._before.setdefault(other, set()).add(key)
        return other

    def _further(self, node: Node, follower: Node) -> int:
        """Return how often one may still go back behind a move; -1 where it leads too far."""
        if self._back == EVER:
            return EVER
        before, after = len(node.state.path), len(follower.state.path)
        if after >= before:
            return min(self._back, node.further + after - before)
        return node.further - 1 if after > self._looked_at.furthest(node.state, node.further) else -1

    def no_dead_ends(self, report: Report) -> None:
        """Note the states from which the end of the job can't be reached.

        A loop that was not walked leads on where some walked state at the same step, with the same parts open, does.
        """
        good = {key for key, node in self.nodes.items() if node.state.finished_at}
        waiting, led = deque(good), set[Hashable]()
        while waiting:
            key = waiting.popleft()
            stands = _stands(self.nodes[key].state)
            leading = self._before.get(key, set()) | (self._cut.get(stands, set()) if stands not in led else set())
            led.add(stands)
            for other in leading - good:
                good.add(other)
                waiting.append(other)
        stuck = [node for key, node in self.nodes.items() if key not in good]
        if stuck:
            shortest = min(stuck, key=lambda node: len(node.way))
            report.note(f"{len(stuck)} states lead nowhere, for instance", shortest.way)


def _stands(state: State) -> Hashable:
    return state.step, frozenset(state.ledger.parts)


def key_of(node: Node, amounts: Callable[[State], Hashable] | None = None) -> Hashable:
    """Return what tells a state apart, but for what lies behind it (`looked_at`)."""
    state = node.state
    tags = known.tags(state) - {f"{name}:{option}" for name, option in state.choices}
    stands = (amounts or amounts_of)(state)
    return (
        state.step, state.begun, state.pending, state.doubted, frozenset(state.gates), frozenset(state.evidence),
        frozenset(state.told), state.unknown, tags, state.conditions, stands, state.drained,
        frozenset(timer.name for timer in state.timers), state.stopping, state.stopping and state.out, state.turning,
        state.renewed, bool(state.finished_at), frozenset(state.torques), frozenset(state.angles),
        frozenset(one.name for one in state.readings), looked_at_of(state.procedure, node.book),
    )  # fmt: skip


def amounts_of(state: State) -> Hashable:
    """Return what was poured in, as far as it matters: by capacity and since the level was read."""
    filled = fill_of(state, state.here) if not known.missing(state, state.here) else None
    stands = (filled.enough, filled.surplus.magnitude > 0, filled.total.magnitude > 0) if filled else None
    return stands, *(_in_it(state, name) for name in state.procedure.fluids)


def _in_it(state: State, name: str) -> Hashable:
    try:
        return bounds_broken(state, name), known.poured(state, name).magnitude > 0
    except known.Missing:
        return None


def loops_of(state: State, order: Mapping[str, int]) -> int:
    """Return how often the way leads back to an earlier step."""
    return sum(order[step] <= order[before] for before, step in pairwise(state.path))
